import { useQuery } from '@tanstack/react-query';
import { type ReactNode, useMemo } from 'react';
import { Redirect, useLocation, useParams } from 'wouter';
import { problemOf } from '../../api/client.js';
import { queries } from '../../api/queries.js';
import { EditButtons, EditNotices } from '../../components/EditBar.js';
import { EmptyState, ProblemBox } from '../../components/FindingItem.js';
import { Waiting } from '../../components/Waiting.js';
import { readRollText } from '../../line/readLine.js';
import { useDraft } from '../../state/drafts.js';
import { RollEditor } from './RollEditor.js';
import '../../styles/roll.css';

/** What winding leaves in a roll: pressure, stress, and whether its layers hold. */
export function RollView(): ReactNode {
  const { roll } = useParams<{ roll?: string }>();
  const rolls = useQuery(queries.rolls());
  if (rolls.error) return <ProblemBox problem={problemOf(rolls.error)} />;
  if (rolls.data === undefined) return <Waiting />;
  const [first] = rolls.data;
  if (first === undefined)
    return (
      <EmptyState title="No roll yet">
        <p>
          A roll states its web with a stack test, its core and how it is wound. It is a YAML file in rolls/;
          the demo line has one to start from, and schemas/roll.schema.json lets an editor complete the keys.
        </p>
      </EmptyState>
    );
  if (roll === undefined) return <Redirect to={`/roll/${encodeURIComponent(first.name)}`} replace />;
  return <RollPage key={roll} name={roll} names={rolls.data.map((r) => r.name)} />;
}

function RollPage({ name, names }: { readonly name: string; readonly names: readonly string[] }): ReactNode {
  const [, navigate] = useLocation();
  const { data, error } = useQuery(queries.roll(name));
  const handle = useDraft(`/api/rolls/${encodeURIComponent(name)}`, queries.roll(name));
  const text = handle.draft?.history.text;
  const read = useMemo(() => (text === undefined ? undefined : readRollText(text)), [text]);
  if (error) return <ProblemBox problem={problemOf(error)} />;
  if (data === undefined || text === undefined || read === undefined) return <Waiting />;
  const isUnreadable = text === data.text && data.document === undefined;
  return (
    <>
      <header className="toolbar">
        <h1>Roll</h1>
        <label className="row">
          <span className="hidden">Roll</span>
          <select value={name} onChange={(e) => navigate(`/roll/${encodeURIComponent(e.target.value)}`)}>
            {names.map((n) => (
              <option key={n}>{n}</option>
            ))}
          </select>
        </label>
        <EditButtons handle={handle} />
      </header>
      <EditNotices handle={handle} file={`rolls/${name}.yaml`} />
      {text === data.text && data.error && <ProblemBox problem={data.error} />}
      {!isUnreadable && 'problem' in read && <ProblemBox problem={read.problem} />}
      {!isUnreadable && 'document' in read && (
        <RollEditor document={read.document} text={text} handle={handle} name={name} />
      )}
    </>
  );
}
