import { useQuery } from '@tanstack/react-query';
import { type ReactNode, useMemo } from 'react';
import { Redirect, useLocation, useParams, useSearchParams } from 'wouter';
import type { Line } from '../../../engine/line/line.js';
import { problemOf } from '../../api/client.js';
import { queries } from '../../api/queries.js';
import { EditButtons, EditNotices } from '../../components/EditBar.js';
import { EmptyState, ProblemBox } from '../../components/FindingItem.js';
import { Waiting } from '../../components/Waiting.js';
import { readProductText } from '../../line/readLine.js';
import { useDraft } from '../../state/drafts.js';
import { useUnits } from '../../state/units.js';
import { useLine } from '../line/useLine.js';
import { ProgramEditor } from './ProgramEditor.js';
import { programState, rollOf } from './programState.js';

/** Programs of the products: schedules over the roll with all that follows from them. */
export function ProgramsView(): ReactNode {
  const { product } = useParams<{ product?: string }>();
  const products = useQuery(queries.products());
  if (products.error) return <ProblemBox problem={problemOf(products.error)} />;
  if (products.data === undefined) return <Waiting />;
  const [first] = products.data;
  if (first === undefined)
    return (
      <EmptyState title="No product yet">
        <p>
          A product states its web and how its roll is wound: diameters, tension, nip and torque differential.
          It is a YAML file in products/; the demo line has one to start from, and schemas/product.schema.json
          lets an editor complete the keys.
        </p>
      </EmptyState>
    );
  if (product === undefined) return <Redirect to={`/programs/${encodeURIComponent(first.name)}`} replace />;
  return <ProductPage key={product} name={product} names={products.data.map((p) => p.name)} />;
}

function ProductPage({
  name,
  names,
}: {
  readonly name: string;
  readonly names: readonly string[];
}): ReactNode {
  const [, navigate] = useLocation();
  const [search, setSearch] = useSearchParams();
  const { data, error } = useQuery(queries.product(name));
  const handle = useDraft(`/api/products/${encodeURIComponent(name)}`, queries.product(name));
  const line = useLine();
  const compared = search.get('compare') ?? undefined;
  if (error) return <ProblemBox problem={problemOf(error)} />;
  const text = handle.draft?.history.text;
  if (data === undefined || text === undefined) return <Waiting />;
  const isUnreadable = text === data.text && data.document === undefined;
  return (
    <>
      <header className="toolbar">
        <h1>Program</h1>
        <label className="row">
          <span className="hidden">Product</span>
          <select value={name} onChange={(e) => navigate(`/programs/${encodeURIComponent(e.target.value)}`)}>
            {names.map((n) => (
              <option key={n}>{n}</option>
            ))}
          </select>
        </label>
        <EditButtons handle={handle} />
        {names.length > 1 && (
          <label className="row end">
            Compare with
            <select
              value={compared ?? ''}
              onChange={(e) =>
                setSearch(
                  (before) => {
                    const next = new URLSearchParams(before);
                    if (e.target.value === '') next.delete('compare');
                    else next.set('compare', e.target.value);
                    return next;
                  },
                  { replace: true },
                )
              }
            >
              <option value="">none</option>
              {names
                .filter((n) => n !== name)
                .map((n) => (
                  <option key={n}>{n}</option>
                ))}
            </select>
          </label>
        )}
      </header>
      <EditNotices handle={handle} file={`products/${name}.yaml`} />
      {text === data.text && data.error && <ProblemBox problem={data.error} />}
      {line.problem && <ProblemBox problem={line.problem} />}
      {!isUnreadable && line.line === undefined && line.problem === undefined && <Waiting />}
      {!isUnreadable && line.line && (
        <WithOther name={compared} line={line.line} text={text} handle={handle} />
      )}
    </>
  );
}

function WithOther({
  name,
  line,
  text,
  handle,
}: {
  readonly name: string | undefined;
  readonly line: Line;
  readonly text: string;
  readonly handle: ReturnType<typeof useDraft>;
}): ReactNode {
  const { system } = useUnits();
  const [search] = useSearchParams();
  const role = search.get('role') === 'unwind' ? 'unwind' : 'winder';
  const { data } = useQuery({ ...queries.product(name ?? ''), enabled: name !== undefined });
  const other = useMemo(() => {
    if (name === undefined || data?.document === undefined) return undefined;
    const state = programState(line, data.document, system);
    const roll = rollOf(state, role);
    return roll && 'product' in state ? { name, roll, product: state.product } : undefined;
  }, [name, data, line, system, role]);
  const read = useMemo(() => readProductText(text), [text]);
  if ('problem' in read) return <ProblemBox problem={read.problem} />;
  return <ProgramEditor line={line} document={read.document} text={text} handle={handle} other={other} />;
}
