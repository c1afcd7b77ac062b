import { useQuery, useQueryClient } from '@tanstack/react-query';
import { type ReactNode, useEffect, useState } from 'react';
import { Link, useLocation, useSearchParams } from 'wouter';
import { ApiError, postJson, problemOf, remove } from '../../api/client.js';
import { queries } from '../../api/queries.js';
import type { ImportResult, Problem, Proposal, Statements } from '../../api/types.js';
import { EmptyState, FindingList, ProblemBox } from '../../components/FindingItem.js';
import { Waiting } from '../../components/Waiting.js';
import { DialectFields } from './DialectFields.js';
import { FirstRows } from './FirstRows.js';
import { ImportProgress } from './ImportProgress.js';
import { type ImportDraft, keptDraft, lacking, nameOf, startDraft } from './importDraft.js';
import { NameFields } from './NameFields.js';
import { addressOfRecording } from './RecordingList.js';
import { RoleFields } from './RoleFields.js';

const storageKey = (upload: string): string => `tautline import ${upload}`;

/**
 * A dropped file on its way into the folder: how it would be read, what it does not say, the import, and what came of it. Upload and job stand in
 * the address and what was stated in the session, so a page that is loaded anew goes on where it was.
 */
export function ImportPage({ upload }: { readonly upload: string }): ReactNode {
  const client = useQueryClient();
  const [, navigate] = useLocation();
  const [search, setSearch] = useSearchParams();
  const jobId = search.get('job');
  const [draft, setDraft] = useState(() => keptDraft(sessionStorage.getItem(storageKey(upload))));
  const drives = useQuery(queries.drives());
  const [shown, setShown] = useState<Proposal>();
  const proposal = useQuery({
    ...queries.proposal(upload, draft?.statements ?? {}),
    // while the import runs nothing is asked; afterwards the upload is gone
    enabled: jobId === null,
  });
  const job = useQuery({ ...queries.job<ImportResult>(jobId ?? ''), enabled: jobId !== null });
  const [startProblem, setStartProblem] = useState<Problem>();
  const file = proposal.data?.proposal.file ?? shown?.file;
  const driveNames = drives.data?.map((d) => d.name);

  // what was shown stays while an answer to something newly stated is on its way, or refused
  useEffect(() => {
    if (proposal.data) setShown(proposal.data.proposal);
  }, [proposal.data]);
  useEffect(() => {
    if (draft === undefined && file !== undefined && driveNames !== undefined)
      setDraft(startDraft(file, driveNames));
  }, [draft, file, driveNames]);
  useEffect(() => {
    try {
      if (draft) sessionStorage.setItem(storageKey(upload), JSON.stringify(draft));
    } catch {
      // a full store costs what was typed only if the page is loaded anew
    }
  }, [upload, draft]);

  const written = job.data?.state === 'done' ? job.data.result?.written : undefined;
  useEffect(() => {
    if (written === undefined) return;
    sessionStorage.removeItem(storageKey(upload));
    void client.invalidateQueries({ queryKey: ['recordings'] });
    navigate(addressOfRecording({ file: written.data, ...(draft && { drive: draft.drive }) }), {
      replace: true,
    });
  }, [written, upload, client, navigate, draft]);

  const back = (): void => setSearch({}, { replace: true });
  const begin = async (now: ImportDraft): Promise<void> => {
    setStartProblem(undefined);
    try {
      const { job: started } = await postJson<{ job: string }>(`/api/recordings/${upload}/import`, {
        name: nameOf(now),
        ...(driveNames?.includes(now.drive) && { drive: now.drive }),
        ...(now.notes.trim() !== '' && { notes: now.notes }),
        ...now.statements,
      });
      // the same inputs are the same job: what ended badly is asked for anew
      client.removeQueries({ queryKey: ['jobs', started] });
      setSearch({ job: started }, { replace: true });
    } catch (error) {
      setStartProblem(problemOf(error));
    }
  };
  const drop = async (): Promise<void> => {
    sessionStorage.removeItem(storageKey(upload));
    await remove(`/api/recordings/${upload}`).catch(() => undefined);
    navigate('/recordings', { replace: true });
  };

  const isJobGone = jobId !== null && job.error instanceof ApiError && job.error.status === 404;
  useEffect(() => {
    if (isJobGone) setSearch({}, { replace: true });
  }, [isJobGone, setSearch]);
  if (jobId !== null && !isJobGone) {
    if (job.error) return <ProblemBox problem={problemOf(job.error)} />;
    if (job.data === undefined || written !== undefined) return <Waiting />;
    return <ImportProgress job={job.data} onBack={back} />;
  }
  if (proposal.error instanceof ApiError && proposal.error.status === 404) return <UploadGone />;
  const current = proposal.data?.proposal ?? shown;
  const problem = proposal.error ? problemOf(proposal.error) : undefined;
  if (current === undefined && problem === undefined) return <Waiting />;
  const statements = draft?.statements ?? {};
  // what is asked above need not be said twice
  const said = (current?.findings ?? []).filter(
    (f) => !current?.questions.some((q) => q.message === f.message),
  );
  const state = (next: Statements): void =>
    setDraft({ ...(draft ?? { drive: '', visit: '', notes: '' }), statements: next });
  const missing = draft && current && problem === undefined ? lacking(draft, current) : undefined;
  return (
    <div className="import">
      <header className="toolbar">
        <h1>{current ? `Import ${current.file}` : 'This file cannot be read as it is'}</h1>
      </header>
      {problem && (
        <ProblemBox problem={problem}>
          <p className="soft">
            Nothing was written, and the file is as it was. State below how it is to be read, or export it
            again.
          </p>
        </ProblemBox>
      )}
      {current && draft && (
        <>
          <NameFields draft={draft} drives={driveNames ?? []} onChange={setDraft} />
          <RoleFields proposal={current} statements={statements} onChange={state} />
        </>
      )}
      {said.length > 0 && (
        <section className="import-part">
          <h2>What reading it found</h2>
          <FindingList findings={said} />
        </section>
      )}
      <DialectFields
        dialect={current?.dialect}
        statements={statements}
        onChange={state}
        text={current?.text ?? []}
      />
      {current && <FirstRows proposal={current} />}
      {startProblem && <ProblemBox problem={startProblem} />}
      <div className="row import-end">
        <button
          type="button"
          className="strong"
          disabled={
            draft === undefined || current === undefined || problem !== undefined || missing !== undefined
          }
          onClick={() => draft && void begin(draft)}
        >
          Import
        </button>
        {missing !== undefined && <span className="soft">First {missing}.</span>}
        <button type="button" className="quiet end" onClick={() => void drop()}>
          Drop this file
        </button>
      </div>
    </div>
  );
}

const UploadGone = (): ReactNode => (
  <EmptyState title="This file is no longer here">
    <p>
      It was imported, or dropped, or nobody came back to it for three days. Look in the list of{' '}
      <Link href="/recordings">recordings</Link>, or drop the file again.
    </p>
  </EmptyState>
);
