import { useQuery } from '@tanstack/react-query';
import { type ReactNode, useId, useMemo } from 'react';
import { Link, useSearchParams } from 'wouter';
import { type DriveDocument, toDrive } from '../../../engine/project/drive.js';
import type { LineDocument } from '../../../engine/project/line/lineDocument.js';
import { makeFormat } from '../../../engine/report/format.js';
import { renderHtml, renderSections } from '../../../engine/report/html.js';
import type { ReportTree } from '../../../engine/report/reportTree.js';
import { testWords } from '../../../engine/report/testSheet/sheetWords.js';
import { type SheetTest, sheetTests } from '../../../engine/report/testSheet/testPlan.js';
import { testSheet } from '../../../engine/report/testSheet/testSheet.js';
import { problemOf } from '../../api/client.js';
import { queries } from '../../api/queries.js';
import { EmptyState, ProblemBox } from '../../components/FindingItem.js';
import { saveText } from '../../components/plot/saveText.js';
import { Waiting } from '../../components/Waiting.js';
import { useUnits } from '../../state/units.js';

/** How to make the recording that a drive needs: a sheet to print and take to the machine. Drive and test stand in the address. */
export function TestSheetPage(): ReactNode {
  const units = useUnits();
  const id = useId();
  const [search, setSearch] = useSearchParams();
  const drives = useQuery(queries.drives());
  const line = useQuery(queries.line());
  const section = search.get('section');
  const inPlace = section === null ? undefined : driveInPlace(line.data?.document, section);
  const name = inPlace ? undefined : (search.get('drive') ?? drives.data?.[0]?.name);
  const file = useQuery({ ...queries.drive(name ?? ''), enabled: name !== undefined });
  const document = inPlace ?? file.data?.document;
  const test = sheetTests.find((t) => t === search.get('test')) ?? 'designed';
  const sheet = useMemo(
    () => document && sheetOf(document, line.data?.document, test, units.system),
    [document, line.data?.document, test, units.system],
  );
  const set = (key: string, value: string): void =>
    setSearch(
      (before) => {
        const next = new URLSearchParams(before);
        if (key === 'drive') next.delete('section');
        next.set(key, value);
        return next;
      },
      { replace: true },
    );
  if (drives.error) return <ProblemBox problem={problemOf(drives.error)} />;
  if (drives.data === undefined || line.isPending) return <Waiting />;
  if (drives.data.length === 0 && inPlace === undefined)
    return (
      <EmptyState title="No drive yet">
        <p>
          A test sheet is made for a drive: its speeds, rates and torques. State a drive at a section of the{' '}
          <Link href="/line">line</Link>, or put a drive file into drives/.
        </p>
      </EmptyState>
    );
  return (
    <div className="test-sheet">
      <div className="toolbar sheet-choice">
        <label htmlFor={`${id}d`}>Drive</label>
        <select id={`${id}d`} value={name ?? ''} onChange={(e) => set('drive', e.target.value)}>
          {inPlace && <option value="">{inPlace.name} (in line.yaml)</option>}
          {drives.data.map((d) => (
            <option key={d.name} value={d.name}>
              {d.name}
            </option>
          ))}
        </select>
        <label htmlFor={`${id}t`}>Test</label>
        <select id={`${id}t`} value={test} onChange={(e) => set('test', e.target.value)}>
          {sheetTests.map((t) => (
            <option key={t} value={t}>
              {testWords[t].title}
            </option>
          ))}
        </select>
        <button type="button" className="strong" onClick={() => window.print()}>
          Print
        </button>
        {sheet && (
          <button
            type="button"
            className="quiet"
            onClick={() =>
              saveText(`${name ?? section ?? 'drive'}.${test}.html`, 'text/html', renderHtml(sheet))
            }
          >
            Save as HTML
          </button>
        )}
        <Link
          className="end"
          href={`/recordings${name === undefined ? '' : `?drive=${encodeURIComponent(name)}`}`}
        >
          To the recordings
        </Link>
      </div>
      {file.error && <ProblemBox problem={problemOf(file.error)} />}
      {file.data?.error && document === undefined && <ProblemBox problem={file.data.error} />}
      {sheet && <Sheet sheet={sheet} />}
    </div>
  );
}

function Sheet({ sheet }: { readonly sheet: ReportTree }): ReactNode {
  const markup = useMemo(() => renderSections(sheet.sections), [sheet]);
  return (
    <article>
      <header>
        <h1>{sheet.title}</h1>
        <p className="soft">{sheet.subtitle}</p>
        {sheet.label !== undefined && <p className="label">{sheet.label}</p>}
        <dl className="sheet-facts">
          {sheet.facts.map((fact) => (
            <div key={fact.label}>
              <dt>{fact.label}</dt>
              <dd>{fact.value}</dd>
            </div>
          ))}
        </dl>
      </header>
      {/* markup of our own report, every text in it escaped */}
      <div dangerouslySetInnerHTML={{ __html: markup }} />
    </article>
  );
}

/** A drive that is stated at a section of the line itself. */
function driveInPlace(line: LineDocument | undefined, section: string): DriveDocument | undefined {
  const drive = line?.sections.find((s) => s.name === section)?.drive;
  return typeof drive === 'object' ? (drive as DriveDocument) : undefined;
}

function sheetOf(
  document: DriveDocument,
  line: LineDocument | undefined,
  test: SheetTest,
  system: 'si' | 'us',
): ReportTree {
  const { top_m_per_s, acceleration_m_per_s2 } = line?.speed ?? {};
  return testSheet({
    drive: toDrive(document),
    test,
    format: makeFormat(system),
    invented: line?.invented === true,
    ...(top_m_per_s !== undefined && { lineTop: top_m_per_s }),
    ...(acceleration_m_per_s2 !== undefined && { lineAcceleration: acceleration_m_per_s2 }),
  });
}
