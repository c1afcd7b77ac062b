import { keepPreviousData, useQuery, useQueryClient } from '@tanstack/react-query';
import { useCallback, useEffect, useRef, useState } from 'react';
import { ApiError, getJson, postJson, problemOf, remove } from '../../api/client.js';
import { queries } from '../../api/queries.js';
import type { IdentifyResult, Job, Problem } from '../../api/types.js';

/** Everything that a result depends on. */
export interface IdentifyRequest {
  readonly drive: string;
  readonly recording: string;
  readonly options: {
    readonly exclude?: readonly (readonly [number, number])[];
    readonly include?: readonly (readonly [number, number])[];
    readonly flipTorque?: boolean;
    readonly compensateDelay?: number;
  };
  /** Of recording and drive file: another one, other work. */
  readonly stamp: string;
}

export interface Identified {
  /** The latest result of this drive and recording; of the request itself unless `isBehind`. */
  readonly result: IdentifyResult | undefined;
  readonly isBehind: boolean;
  readonly job: Job<IdentifyResult> | undefined;
  readonly problem: Problem | undefined;
  cancel(): void;
  again(): void;
}

/** A computation that has lasted longer is stopped when something else is wanted; a shorter one ends by itself, and its thread stays warm [ms]. */
const patience = 1500;

const isOpen = (job: Job<IdentifyResult> | undefined): boolean =>
  job?.state === 'queued' || job?.state === 'running';

/**
 * The identification of a drive from a recording, as a job of the server: the same request gives the same job, so that a page that is loaded anew
 * finds it. While one is under way a newer request waits for its end, and only the latest one is made.
 */
export function useIdentified(wanted: IdentifyRequest): Identified {
  const client = useQueryClient();
  const wantedText = JSON.stringify(wanted);
  const [askedText, setAsked] = useState(wantedText);
  const asked = JSON.parse(askedText) as IdentifyRequest;
  const begun = useRef(0);
  const started = useQuery({
    queryKey: ['identified', askedText],
    queryFn: () => {
      begun.current = performance.now();
      const { drive, recording, options } = asked;
      return postJson<{ job: string }>('/api/identifications', { drive, recording, options });
    },
    // the same job as long as the inputs are the same
    staleTime: Number.POSITIVE_INFINITY,
    retry: false,
  });
  const id = started.data?.job;
  const told = useQuery({
    ...queries.job<IdentifyResult>(id ?? ''),
    enabled: id !== undefined,
    retry: false,
    staleTime: 0,
    placeholderData: keepPreviousData,
  });
  const job = told.isPlaceholderData ? undefined : told.data;
  const isUnderWay =
    started.isFetching || (id !== undefined && job === undefined && !told.error) || isOpen(job);

  // at once, not after what is drawn meanwhile
  if (askedText !== wantedText && !isUnderWay) setAsked(wantedText);
  useEffect(() => {
    if (askedText === wantedText || !isUnderWay || id === undefined) return;
    const left = patience - (performance.now() - begun.current);
    const timer = setTimeout(() => void stop(id), Math.max(0, left));
    return () => clearTimeout(timer);
  }, [askedText, wantedText, isUnderWay, id]);

  // jobs live in the server's memory: after its restart the work is asked for again
  const isForgotten = told.error instanceof ApiError && told.error.status === 404;
  const { refetch } = started;
  useEffect(() => {
    if (isForgotten) void refetch();
  }, [isForgotten, refetch]);

  const subject = `${wanted.drive} ${wanted.recording}`;
  const last = useRef<{ subject: string; askedText: string; result: IdentifyResult }>(undefined);
  if (job?.result && subject === `${asked.drive} ${asked.recording}`)
    last.current = { subject, askedText, result: job.result };
  const shown = last.current?.subject === subject ? last.current : undefined;
  const error = started.error ?? (isForgotten ? undefined : told.error);
  const again = useCallback(() => {
    void refetch().then(() => client.invalidateQueries({ queryKey: ['jobs'] }));
  }, [refetch, client]);
  return {
    result: shown?.result,
    isBehind: shown?.askedText !== wantedText,
    job,
    problem: error ? problemOf(error) : askedText === wantedText ? job?.error : undefined,
    cancel: () => id !== undefined && void stop(id),
    again,
  };
}

const stop = (job: string): Promise<unknown> => remove(`/api/jobs/${job}`).catch(() => undefined);

/** Identifies and keeps the result. @returns its name. @throws ApiError, also for a job that failed */
export async function keepResult(
  { drive, recording, options }: IdentifyRequest,
  visit: string,
): Promise<string> {
  const { job } = await postJson<{ job: string }>('/api/identifications', {
    drive,
    recording,
    options,
    store: true,
    visit,
  });
  for (;;) {
    const answer = await getJson<Job<IdentifyResult>>(`/api/jobs/${job}`);
    if (answer.state === 'done') return answer.result?.stored ?? '';
    if (!isOpen(answer))
      throw new ApiError(
        0,
        answer.error ?? {
          code: 'internal',
          message: 'keeping the result was cancelled',
          where: {},
          next: 'keep it again',
        },
      );
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
}
