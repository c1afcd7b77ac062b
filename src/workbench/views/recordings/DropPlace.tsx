import { useQueryClient } from '@tanstack/react-query';
import { type ReactNode, useEffect, useRef, useState } from 'react';
import { ApiError, problemOf, sendFile } from '../../api/client.js';
import { queries } from '../../api/queries.js';
import type { Problem, Proposed } from '../../api/types.js';
import { ProblemBox } from '../../components/FindingItem.js';

/** Takes a file: dropped anywhere on the page, or chosen. It goes to the server as it is; nothing is written into the line's folders by that. */
export function DropPlace({ onUploaded }: { readonly onUploaded: (upload: string) => void }): ReactNode {
  const client = useQueryClient();
  const input = useRef<HTMLInputElement>(null);
  const [isOver, setOver] = useState(false);
  const [sending, setSending] = useState<{ readonly name: string; readonly share: number }>();
  const [refused, setRefused] = useState<Problem & { readonly file: string }>();
  const abort = useRef<AbortController>(undefined);

  const take = async (files: FileList | null | undefined): Promise<void> => {
    const file = files?.[0];
    if (file === undefined) return;
    abort.current?.abort();
    const own = new AbortController();
    abort.current = own;
    setRefused(undefined);
    setSending({ name: file.name, share: 0 });
    try {
      const answer = await sendFile<Proposed>(
        `/api/recordings?name=${encodeURIComponent(file.name)}`,
        file,
        (share) => setSending({ name: file.name, share }),
        own.signal,
      );
      client.setQueryData(queries.proposal(answer.upload, {}).queryKey, answer);
      onUploaded(answer.upload);
    } catch (error) {
      if (own.signal.aborted) return;
      const problem = problemOf(error);
      const { upload } = problem.where;
      // it is there, only not understood: another reading can be stated
      if (error instanceof ApiError && typeof upload === 'string') onUploaded(upload);
      else setRefused({ ...problem, file: file.name });
    } finally {
      if (abort.current === own) setSending(undefined);
      if (input.current) input.current.value = '';
    }
  };
  const latest = useRef(take);
  latest.current = take;

  useEffect(() => {
    const hasFile = (e: DragEvent): boolean => e.dataTransfer?.types.includes('Files') === true;
    const onOver = (e: DragEvent): void => {
      if (!hasFile(e)) return;
      // without this the browser would open the file instead
      e.preventDefault();
      setOver(true);
    };
    const onLeave = (e: DragEvent): void => {
      if (e.relatedTarget === null) setOver(false);
    };
    const onDrop = (e: DragEvent): void => {
      if (!hasFile(e)) return;
      e.preventDefault();
      setOver(false);
      void latest.current(e.dataTransfer?.files);
    };
    window.addEventListener('dragover', onOver);
    window.addEventListener('dragleave', onLeave);
    window.addEventListener('drop', onDrop);
    return () => {
      window.removeEventListener('dragover', onOver);
      window.removeEventListener('dragleave', onLeave);
      window.removeEventListener('drop', onDrop);
    };
  }, []);

  return (
    <div className={`drop-place${isOver ? ' over' : ''}`}>
      <input
        ref={input}
        id="recording-file"
        className="hidden"
        type="file"
        tabIndex={-1}
        aria-label="File of a recording"
        onChange={(e) => void take(e.target.files)}
      />
      {sending ? (
        <div className="row" role="status">
          <span>
            Sending {sending.name}: {Math.round(100 * sending.share)} %
          </span>
          <button type="button" className="end" onClick={() => abort.current?.abort()}>
            Stop
          </button>
        </div>
      ) : (
        <>
          <p>Drop a recording here: CSV, text or Parquet, as it was exported.</p>
          <button type="button" className="strong" onClick={() => input.current?.click()}>
            Choose a file
          </button>
        </>
      )}
      {refused && (
        <ProblemBox problem={refused}>
          <p className="soft">{refused.file} stays as it is; nothing of it was taken.</p>
        </ProblemBox>
      )}
    </div>
  );
}
