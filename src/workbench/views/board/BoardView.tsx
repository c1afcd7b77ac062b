import { useQuery } from '@tanstack/react-query';
import { type ReactNode, useRef } from 'react';
import { Link, useSearchParams } from 'wouter';
import {
  type BoardCell,
  type BoardDocument,
  type BoardFact,
  type BoardRow,
  boardFacts,
  type NextEntry,
} from '../../../engine/project/board/boardDocument.js';
import { problemOf } from '../../api/client.js';
import { queries } from '../../api/queries.js';
import { CopyButton } from '../../components/DataTable.js';
import { capital, EmptyState, FindingList, ProblemBox } from '../../components/FindingItem.js';
import { Sign } from '../../components/Sign.js';
import { Waiting } from '../../components/Waiting.js';
import { type Units, useUnits } from '../../state/units.js';
import { addressOf } from '../addresses.js';
import { cellParts, cellText, factWords, missingWords } from './cellText.js';

/** Where the commissioning stands: one row a drive, one column a fact, and what to do next. */
export function BoardView(): ReactNode {
  const units = useUnits();
  const { data: board, error } = useQuery(queries.board(units.system));
  const [search, setSearch] = useSearchParams();
  if (error) return <ProblemBox problem={problemOf(error)} />;
  if (board === undefined) return <Waiting />;
  const selected = selectionOf(board, search);
  const select = (row: string, fact: BoardFact): void =>
    setSearch(
      (before) => {
        const next = new URLSearchParams(before);
        next.set('row', row);
        next.set('fact', fact);
        const section = board.rows.find((r) => r.name === row)?.section;
        if (section === undefined) next.delete('section');
        else next.set('section', section);
        return next;
      },
      { replace: true },
    );
  return (
    <div className="board">
      <section className="board-table" aria-labelledby="board-title">
        <header className="row">
          <h1 id="board-title">Commissioning board</h1>
          <CopyButton words="Copy as table" text={() => boardTsv(board, units)} />
        </header>
        {board.rows.length === 0 ? (
          <EmptyState title="No drive yet">
            <p>
              A row appears for every driven roller: state a drive at a section of the{' '}
              <Link href="/line">line</Link>, or put a drive file into drives/.
            </p>
          </EmptyState>
        ) : (
          <BoardGrid board={board} units={units} selected={selected} onSelect={select} />
        )}
        {selected && <CellDetails row={selected.row} fact={selected.fact} units={units} />}
      </section>
      <NextList board={board} />
    </div>
  );
}

interface Selection {
  readonly row: BoardRow;
  readonly fact: BoardFact;
}

function selectionOf(board: BoardDocument, search: URLSearchParams): Selection | undefined {
  const row = board.rows.find((r) => r.name === search.get('row'));
  const fact = boardFacts.find((f) => f === search.get('fact'));
  return row && fact && { row, fact };
}

interface GridProps {
  readonly board: BoardDocument;
  readonly units: Units;
  readonly selected: Selection | undefined;
  readonly onSelect: (row: string, fact: BoardFact) => void;
}

function BoardGrid({ board, units, selected, onSelect }: GridProps): ReactNode {
  const grid = useRef<HTMLTableElement>(null);
  const focus = (row: number, column: number): void =>
    grid.current?.querySelector<HTMLButtonElement>(`[data-cell="${row} ${column}"]`)?.focus();
  const [atRow, atColumn] =
    selected === undefined ? [0, 0] : [board.rows.indexOf(selected.row), boardFacts.indexOf(selected.fact)];
  return (
    // a region that scrolls must be reachable by keyboard
    <section className="scroll" tabIndex={0} aria-label="Board, scrolls sideways">
      <table className="grid" ref={grid}>
        <thead>
          <tr>
            <th scope="col">Drive</th>
            {boardFacts.map((fact) => (
              <th key={fact} scope="col">
                {factWords[fact]}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {board.rows.map((row, i) => (
            <tr key={row.name}>
              <th scope="row">
                {row.section === undefined ? (
                  row.name
                ) : (
                  <Link href={`/line?${new URLSearchParams({ section: row.section }).toString()}`}>
                    {row.name}
                  </Link>
                )}
              </th>
              {boardFacts.map((fact, j) => (
                <td key={fact} className={row.cells[fact].state}>
                  <button
                    type="button"
                    className="cell"
                    data-cell={`${i} ${j}`}
                    // one stop of the tab key; the arrows move inside
                    tabIndex={i === atRow && j === atColumn ? 0 : -1}
                    aria-pressed={selected?.row === row && selected.fact === fact}
                    onClick={() => onSelect(row.name, fact)}
                    onKeyDown={(e) => {
                      const step = {
                        ArrowLeft: [0, -1],
                        ArrowRight: [0, 1],
                        ArrowUp: [-1, 0],
                        ArrowDown: [1, 0],
                      }[e.key];
                      if (step === undefined) return;
                      e.preventDefault();
                      focus(i + (step[0] as number), j + (step[1] as number));
                    }}
                  >
                    <CellFace cell={row.cells[fact]} units={units} />
                  </button>
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

function CellFace({ cell, units }: { readonly cell: BoardCell; readonly units: Units }): ReactNode {
  if (cell.state === 'missing')
    return (
      <span className="missing" title={cell.reason}>
        <span aria-hidden="true">–</span> {missingWords(cell)}
      </span>
    );
  const parts = cellParts(cell, units);
  const worst = cell.findings.some((f) => f.severity === 'refuse')
    ? 'refuse'
    : cell.findings.some((f) => f.severity === 'warn')
      ? 'warn'
      : undefined;
  return (
    <span className="face">
      <span>
        {cell.state === 'stale' && <Sign kind="stale" label="Stale" />}
        {worst && <Sign kind={worst} label={worst === 'refuse' ? 'Refused' : 'Warning'} />}
        <strong>{parts.main}</strong> {parts.unit !== '' && <span className="soft">{parts.unit}</span>}
      </span>
      {parts.sub !== '' && <span className="soft sub">{parts.sub}</span>}
    </span>
  );
}

function CellDetails({ row, fact, units }: Selection & { readonly units: Units }): ReactNode {
  const cell = row.cells[fact];
  const address = cell.state === 'value' || cell.action === undefined ? undefined : addressOf(cell.action);
  return (
    <section className="details" aria-live="polite" aria-label={`${row.name}, ${factWords[fact]}`}>
      <h2>
        {row.name}, {factWords[fact].toLowerCase()}
      </h2>
      {cell.state === 'missing' ? (
        <p>Not known: {cell.reason}.</p>
      ) : (
        <>
          <p>
            {cellText(cell, units)} {cell.value !== undefined && <span className="soft">{cell.words}</span>}
          </p>
          <dl className="facts">
            <dt>From</dt>
            <dd>
              {[
                cell.from.method,
                cell.from.recording,
                cell.from.identification,
                cell.from.product,
                cell.from.date,
              ]
                .filter((p) => p !== undefined)
                .join(' · ')}
            </dd>
            {(cell.from.stretches?.length ?? 0) > 0 && (
              <>
                <dt>Stretches</dt>
                <dd>{stretchWords(cell.from.stretches ?? [], units)}</dd>
              </>
            )}
          </dl>
          {cell.state === 'stale' && (
            <p>
              <Sign kind="stale" /> No longer holds: {cell.because.map((b) => b.message).join('; ')}.
            </p>
          )}
          <FindingList findings={cell.findings} />
        </>
      )}
      {cell.state !== 'value' && cell.action && (
        <p>
          Next: {address === undefined ? cell.action.words : <Link href={address}>{cell.action.words}</Link>}.
        </p>
      )}
    </section>
  );
}

function stretchWords(
  stretches: readonly { readonly from_s: number; readonly to_s: number }[],
  units: Units,
): string {
  const total = stretches.reduce((sum, s) => sum + s.to_s - s.from_s, 0);
  const [first, last] = [stretches[0], stretches.at(-1)];
  if (first === undefined || last === undefined) return '';
  return `${stretches.length}, ${units.withUnit('time', total)} in all, between ${units.withUnit('time', first.from_s)} and ${units.withUnit('time', last.to_s)}`;
}

/** What holds the job back most, first; the same step of several drives is told once. */
function NextList({ board }: { readonly board: BoardDocument }): ReactNode {
  const groups = new Map<string, NextEntry[]>();
  for (const entry of board.next) {
    const key = `${entry.weight} ${entry.action.kind} ${entry.action.words} ${whatIsMissing(entry)}`;
    groups.set(key, [...(groups.get(key) ?? []), entry]);
  }
  return (
    <aside className="next" aria-labelledby="next-title">
      <h2 id="next-title">Next</h2>
      {groups.size === 0 && <p>Nothing holds the job back.</p>}
      <ol>
        {[...groups.values()].map((entries) => (
          <NextStep key={entries.map((e) => `${e.row} ${e.why}`).join()} entries={entries} />
        ))}
      </ol>
    </aside>
  );
}

/** What is said of several drives alike is said without the name of one of them. */
const whatIsMissing = ({ row, why }: NextEntry): string => {
  if (row === undefined) return why;
  const said = why.startsWith(`${row}: `) ? why.slice(row.length + 2) : why;
  return said.replace(`the drive of ${row} `, 'the drive ').replace(` of ${row} yet`, ' yet');
};

const isAbnormal = ({ weight }: NextEntry): boolean =>
  weight === 'unreadable' ||
  weight === 'refused' ||
  weight === 'stale' ||
  weight === 'limit-broken' ||
  weight === 'warning';

function NextStep({ entries }: { readonly entries: readonly NextEntry[] }): ReactNode {
  const [first] = entries as [NextEntry, ...NextEntry[]];
  const rows = entries.map((e) => e.row).filter((r) => r !== undefined);
  return (
    <li>
      <p>
        {isAbnormal(first) && <Sign kind={first.weight === 'stale' ? 'stale' : 'warn'} />}{' '}
        {capital(whatIsMissing(first))}.
      </p>
      {rows.length > 0 && <p className="soft">{rows.join(', ')}</p>}
      <p>
        {entries.length === 1 || addressOf(first.action) === undefined ? (
          <ActionWords entry={first} words={first.action.words} />
        ) : (
          <>
            {first.action.words}:{' '}
            {entries.map((e, k) => (
              <span key={e.row}>
                {k > 0 && ', '}
                <ActionWords entry={e} words={e.row ?? e.action.words} />
              </span>
            ))}
          </>
        )}
      </p>
    </li>
  );
}

function ActionWords({ entry, words }: { readonly entry: NextEntry; readonly words: string }): ReactNode {
  const address = addressOf(entry.action);
  return address === undefined ? <span>{capital(words)}</span> : <Link href={address}>{capital(words)}</Link>;
}

function boardTsv(board: BoardDocument, units: Units): string {
  const head = ['Drive', ...boardFacts.map((f) => factWords[f])];
  const rows = board.rows.map((r) => [r.name, ...boardFacts.map((f) => cellText(r.cells[f], units))]);
  return [head, ...rows].map((line) => line.join('\t')).join('\n');
}
