import type { Finding } from '../findings.js';
import type { FindingItem } from './reportTree.js';
import { placeInWords } from './where.js';

/** Findings, worst first, as a report shows them. */
export const findingItems = (findings: readonly Finding[]): FindingItem[] =>
  [...findings]
    .sort((a, b) => order[a.severity] - order[b.severity])
    .map((f) => ({
      severity: f.severity,
      code: f.code,
      message: f.message,
      where: placeInWords(f.where),
      next: f.next,
    }));

const order = { refuse: 0, warn: 1, info: 2 } as const;
