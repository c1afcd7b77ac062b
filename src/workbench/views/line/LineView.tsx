import { useQuery } from '@tanstack/react-query';
import { type ReactNode, useCallback, useMemo, useState } from 'react';
import { useSearchParams } from 'wouter';
import type { Finding } from '../../../engine/findings.js';
import { missingPlace } from '../../../engine/line/linePath.js';
import type { LineDocument } from '../../../engine/project/line/lineDocument.js';
import type { DrawnCircle } from '../../../engine/report/line/model.js';
import { problemOf } from '../../api/client.js';
import { queries } from '../../api/queries.js';
import { type Column, DataTable } from '../../components/DataTable.js';
import { EditButtons, EditNotices } from '../../components/EditBar.js';
import { EmptyState, FindingList, ProblemBox } from '../../components/FindingItem.js';
import { Waiting } from '../../components/Waiting.js';
import { readLineText } from '../../line/readLine.js';
import { useLineSources } from '../../line/sources.js';
import { type DraftHandle, useDraft } from '../../state/drafts.js';
import { useUnits } from '../../state/units.js';
import { addIdler, flipWrap, moveRoller, placeOf, removeSection, rollerAt } from './editLine.js';
import { type LineState, lineState } from './lineState.js';
import { withCentre } from './moved.js';
import { PlaceMissing } from './PlaceMissing.js';
import { RollerPanel } from './RollerPanel.js';
import { type Drag, Stage } from './Stage.js';

/** The machine: its side view is the editor. */
export function LineView(): ReactNode {
  const { data, error } = useQuery(queries.line());
  const handle = useDraft('/api/line', queries.line());
  if (error) return <ProblemBox problem={problemOf(error)} />;
  const text = handle.draft?.history.text;
  if (data === undefined || text === undefined) return <Waiting />;
  const isOnDisk = text === data.text;
  return (
    <>
      <header className="toolbar">
        <h1>Line</h1>
        <EditButtons handle={handle} />
      </header>
      <EditNotices handle={handle} file="line.yaml" />
      {isOnDisk && data.error && <ProblemBox problem={data.error} />}
      {!(isOnDisk && data.document === undefined) && <LineEditor text={text} handle={handle} />}
    </>
  );
}

function LineEditor({ text, handle }: { readonly text: string; readonly handle: DraftHandle }): ReactNode {
  const { system } = useUnits();
  const [search, setSearch] = useSearchParams();
  const [drag, setDrag] = useState<Drag>();
  const read = useMemo(() => readLineText(text), [text]);
  const document = 'document' in read ? read.document : undefined;
  const { sources, isReady } = useLineSources(document);
  const selected = search.get('section') ?? undefined;

  const settled = useMemo(
    (): LineState =>
      document === undefined ? {} : lineState(document, isReady ? sources : undefined, system, selected),
    [document, sources, isReady, system, selected],
  );
  const shown = useMemo((): LineState => {
    const moved = document && drag && dragged(document, drag, settled);
    return moved === undefined ? settled : lineState(moved, isReady ? sources : undefined, system, selected);
  }, [document, drag, settled, sources, isReady, system, selected]);

  const choose = useCallback(
    (section: string, roller?: string): void =>
      setSearch(
        (before) => {
          const next = new URLSearchParams(before);
          next.set('section', section);
          if (roller === undefined || roller === section) next.delete('roller');
          else next.set('roller', roller);
          return next;
        },
        { replace: true },
      ),
    [setSearch],
  );

  if ('problem' in read) return <ProblemBox problem={read.problem} />;
  if (document === undefined) return null;
  const circles = shown.drawing?.circles ?? [];
  const chosen =
    circles.find((c) => c.name === search.get('roller') && c.section === selected) ??
    circles.find((c) => c.section === selected && c.name === c.section) ??
    circles.find((c) => c.section === selected);
  const place = chosen && placeOf(document, chosen.name);
  const { edit } = handle;

  /** The stated centre that puts a circle where it was dragged to: rollers of an accumulator move with their section. */
  const statedCentre = (circle: DrawnCircle, to: { x: number; y: number }): [number, number] | undefined => {
    const at = placeOf(document, circle.name);
    const centre = at && rollerAt(document, at)?.centre_m;
    const own = settled.drawing?.circles.find((c) => c.name === circle.name)?.centre;
    return centre && own && [centre[0] + to.x - own.x, centre[1] + to.y - own.y];
  };
  const moveTo = (circle: DrawnCircle, to: { x: number; y: number }, joins: boolean): void => {
    const at = placeOf(document, circle.name);
    const centre = statedCentre(circle, to);
    if (at && centre) edit(moveRoller(text, at.path, centre), `${circle.name} moved`, joins);
  };

  return (
    <>
      {shown.problem && <ProblemBox problem={shown.problem} />}
      <div className="editor">
        <div>
          {shown.drawing && settled.drawing ? (
            <Stage
              drawing={shown.drawing}
              settled={settled.drawing}
              chosen={chosen?.name}
              onChoose={(circle) => choose(circle.section, circle.name)}
              onDrag={setDrag}
              onDrop={(at) => {
                setDrag(undefined);
                const circle = at && circles.find((c) => c.name === at.name);
                if (at && circle) moveTo(circle, at.centre, false);
              }}
              onNudge={(circle, by) =>
                moveTo(circle, { x: circle.centre.x + by.x, y: circle.centre.y + by.y }, true)
              }
              onFlip={(circle) => {
                const at = placeOf(document, circle.name);
                if (at) edit(flipWrap(text, at.path), `${circle.name} turned over`);
              }}
            />
          ) : (
            <PlaceMissing
              text={text}
              document={document}
              missing={(shown.line?.sections ?? []).flatMap((s) =>
                s.rollers.flatMap((r) => (missingPlace(r).length > 0 ? [r.name] : [])),
              )}
              onEdit={edit}
            />
          )}
          <PathTable state={shown} />
        </div>
        <aside className="panel">
          {chosen && place ? (
            <RollerPanel
              text={text}
              document={document}
              line={shown.line}
              check={shown.check}
              circle={chosen.name}
              place={place}
              onEdit={edit}
              onAdd={() => {
                const added = addIdler(text, document, place.section);
                edit(added.text, `${added.name} added`);
                choose(added.name);
              }}
              onRemove={() => edit(removeSection(text, place.section), `${chosen.section} taken out`)}
            />
          ) : (
            <EmptyState title="No roller selected">
              <p>
                Click a roller, or reach it with the Tab key. Drag it, or move it by 10 mm with the arrow
                keys, by 1 mm with Shift.
              </p>
            </EmptyState>
          )}
          <h2>Findings</h2>
          {shown.check?.findings.length === 0 && (
            <p className="soft">The web runs through the line as drawn.</p>
          )}
          <FindingList
            findings={shown.check?.findings ?? []}
            onOpen={(finding) => {
              const section = sectionOf(finding, document);
              return section === undefined ? undefined : () => choose(section);
            }}
          />
        </aside>
      </div>
    </>
  );
}

function dragged(
  document: LineDocument,
  { name, centre }: Drag,
  { drawing }: LineState,
): LineDocument | undefined {
  const at = placeOf(document, name);
  const stated = at && rollerAt(document, at)?.centre_m;
  const own = drawing?.circles.find((c) => c.name === name)?.centre;
  return (
    at &&
    stated &&
    own &&
    withCentre(document, at.path, [stated[0] + centre.x - own.x, stated[1] + centre.y - own.y])
  );
}

function sectionOf({ where }: Finding, document: LineDocument): string | undefined {
  const index = /^sections\.(\d+)/.exec(String(where.pointer ?? ''))?.[1];
  return index === undefined ? undefined : document.sections[Number(index)]?.name;
}

interface PathRow {
  readonly from: string;
  readonly to: string;
  readonly length: number;
  readonly wrap: number | undefined;
}

/** Spans and wraps as numbers. */
function PathTable({ state }: { readonly state: LineState }): ReactNode {
  const units = useUnits();
  const { path } = state.check ?? {};
  if (path === undefined) return null;
  const rows = path.spans.map(
    (s): PathRow => ({ ...s, wrap: path.wraps.find((w) => w.name === s.to)?.wrap }),
  );
  const columns: Column<PathRow>[] = [
    { name: 'From', text: (r) => r.from },
    { name: 'To', text: (r) => r.to },
    {
      name: 'Span',
      unit: units.unit('webLength').label,
      isNumber: true,
      text: (r) => (Number.isFinite(r.length) ? units.number('webLength', r.length) : '–'),
    },
    {
      name: 'Wrap at its end',
      unit: '°',
      isNumber: true,
      text: (r) =>
        r.wrap !== undefined && Number.isFinite(r.wrap) ? String(Math.round((r.wrap * 180) / Math.PI)) : '–',
    },
  ];
  return (
    <DataTable caption="Way of the web" columns={columns} rows={rows} rowKey={(r) => `${r.from} ${r.to}`} />
  );
}
