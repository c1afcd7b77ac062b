import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { standsForDrive } from '../../engine/identify/standsForDrive.js';
import { documentOf, problemOf } from '../../engine/project/board/boardInput.js';
import { staleBecause } from '../../engine/project/board/staleBecause.js';
import { compareVisits, driveBase, identificationName, lastPart } from '../../engine/project/visit.js';
import { confinePath } from '../../node/files/confinePath.js';
import { readBoardInput } from '../../node/lineFolder/readBoard.js';
import type { IdentificationEntry } from './tasks.js';

/** The results in identifications/, by drive and visit, with what is no longer as it was when they were made. */
export async function listIdentifications(folder: string): Promise<IdentificationEntry[]> {
  const { identifications, drives, recordings } = await readBoardInput(folder);
  const entries: IdentificationEntry[] = [];
  for (const entry of identifications) {
    const name = lastPart(entry.file).replace(/\.json$/i, '');
    const parts = identificationName(entry.file);
    const document = documentOf(entry);
    const drive = drives.find((d) => driveBase(d.file) === parts?.drive);
    const base = {
      name,
      drive: parts?.drive ?? document?.name ?? name,
      visit: parts?.visit ?? '',
      version: await versionOf(folder, entry.file),
    };
    const problem = problemOf(entry);
    if (document !== undefined)
      entries.push({
        ...base,
        verdict: document.verdict,
        standsForDrive: standsForDrive(document),
        staleBecause: staleBecause(document, recordings, drive),
      });
    else if (problem !== undefined) {
      const { code, message, next } = problem;
      entries.push({ ...base, staleBecause: [], error: { code, message, next } });
    }
  }
  const count = (name: string): number => identificationName(`${name}.json`)?.count ?? 1;
  return entries.sort(
    (a, b) =>
      a.drive.localeCompare(b.drive, 'en') ||
      compareVisits(a.visit, b.visit) ||
      count(a.name) - count(b.name),
  );
}

const versionOf = async (folder: string, file: string): Promise<string> => {
  const bytes = await readFile(await confinePath(folder, file)).catch(() => '');
  return createHash('sha256').update(bytes).digest('hex');
};
