import { useQueries, useQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import type { Drive } from '../../engine/line/drive.js';
import type { MeasuredDrive } from '../../engine/line/line.js';
import { toDrive } from '../../engine/project/drive.js';
import { fromIdentificationDocument } from '../../engine/project/identification.js';
import type { LineDocument, RollerDocument } from '../../engine/project/line/lineDocument.js';
import { measuredDrive } from '../../engine/project/line/measuredDrive.js';
import type { LineSources } from '../../engine/project/line/sources.js';
import { compareVisits, driveBase, identificationName, lastPart } from '../../engine/project/visit.js';
import { queries } from '../api/queries.js';
import type { ListedIdentification } from '../api/types.js';

/** Every roller that a line document states. */
export function statedRollers(document: LineDocument): RollerDocument[] {
  return document.sections.flatMap((s) => [
    s,
    ...(s.rollers ?? []),
    ...[s.drum, s.rear_drum, s.front_drum].filter((d) => typeof d === 'object'),
  ]);
}

/** The result that stands for a drive, chosen as the board does: latest visit, then inputs as they were, then made last. */
export function latestOf(drive: string, listed: readonly ListedIdentification[]): string | undefined {
  const count = (i: ListedIdentification): number => identificationName(`${i.name}.json`)?.count ?? 1;
  const isFresh = (i: ListedIdentification): number => (i.staleBecause.length === 0 ? 1 : 0);
  return listed
    .filter((i) => i.drive === drive && i.standsForDrive === true)
    .sort((a, b) => compareVisits(b.visit, a.visit) || isFresh(b) - isFresh(a) || count(b) - count(a))[0]
    ?.name;
}

/** What a line refers to, read: its drive files, and of each the result that holds. `isReady` when all that can be read has been. */
export function useLineSources(document: LineDocument | undefined): {
  sources: LineSources;
  isReady: boolean;
} {
  const { drives: files, named } = useMemo(() => {
    const rollers = document === undefined ? [] : statedRollers(document);
    return {
      drives: [...new Set(rollers.map((r) => r.drive).filter((d) => typeof d === 'string'))],
      named: [...new Set(rollers.map((r) => r.identification).filter((i) => i !== undefined))],
    };
  }, [document]);
  const listed = useQuery(queries.identifications());
  const wanted = useMemo(() => {
    const latest = files.flatMap((file): [string, string][] => {
      const name = latestOf(driveBase(file), listed.data ?? []);
      return name === undefined ? [] : [[file, name]];
    });
    return [
      ...latest,
      ...named.map((path): [string, string] => [path, lastPart(path).replace(/\.json$/, '')]),
    ];
  }, [files, named, listed.data]);
  const drives = useQueries({
    queries: files.map((file) => queries.drive(driveBase(file))),
    combine: (answers) => ({
      isReady: answers.every((a) => !a.isPending),
      documents: answers.map((a) => a.data?.document),
    }),
  });
  const results = useQueries({
    queries: wanted.map(([, name]) => queries.identification(name)),
    combine: (answers) => ({
      isReady: answers.every((a) => !a.isPending),
      documents: answers.map((a) => a.data),
    }),
  });
  const sources = useMemo(
    () => ({
      drives: new Map(
        files.flatMap((file, k): [string, Drive][] => {
          const read = drives.documents[k];
          return read === undefined ? [] : [[file, toDrive(read)]];
        }),
      ),
      measured: new Map(
        wanted.flatMap(([key, name], k): [string, MeasuredDrive][] => {
          const read = results.documents[k];
          return read === undefined
            ? []
            : [[key, measuredDrive(fromIdentificationDocument(read), `${name}.json`)]];
        }),
      ),
    }),
    [files, wanted, drives.documents, results.documents],
  );
  return { sources, isReady: !listed.isPending && drives.isReady && results.isReady };
}
