import { slug } from '../escape.js';
import { makeFormat } from '../format.js';
import { lineSection } from '../line/lineSection.js';
import { tugSection } from '../line/tugSection.js';
import { drivesSection } from '../program/drivesSection.js';
import { programSection } from '../program/programSection.js';
import type { Block, ReportTree, Section } from '../reportTree.js';
import { rollSection } from '../roll/rollSection.js';
import { driveSection } from './driveSection.js';
import type { CommissioningInput } from './input.js';
import { overviewTable } from './overview.js';
import { cautions, methodWords } from './words.js';

/**
 * The report that hands a line over after start-up: an overview of all drives, then each drive with its figures, values,
 * findings and origin, cautions, method and a block to sign. It arranges results and computes none.
 */
export function buildCommissioningReport(input: CommissioningInput): ReportTree {
  const format = makeFormat(input.units);
  const anchors = input.drives.map((d, k) => `drive-${k + 1}-${slug(d.drive.name)}`);
  const overview: Section = {
    id: 'overview',
    title: 'Overview',
    isOwnPage: false,
    blocks: [
      input.drives.length > 0
        ? { kind: 'table', table: overviewTable(input.drives, anchors, format) }
        : { kind: 'paragraph', text: 'No drive of this line was measured yet.' },
      ...missingBlocks(input),
      { kind: 'cautions', items: cautions },
    ],
  };
  return {
    title: `Commissioning report: ${input.lineName}`,
    subtitle:
      'Inertia, breakaway, drag over speed and torque feed-forward of the driven rollers, as measured; the line and its programs',
    ...(input.invented
      ? { label: 'Invented demo data: no such machine exists. Do not use any number of this report.' }
      : {}),
    facts: [
      { label: 'Line', value: input.lineName },
      { label: 'Date', value: input.date },
      { label: 'Drives measured', value: String(input.drives.length) },
      { label: 'Units', value: input.units === 'si' ? 'SI' : 'US customary' },
    ],
    sections: [
      overview,
      ...(input.line ? [lineSection(input.line.line, input.line.check, format)] : []),
      ...(input.line?.tug ? [tugSection(input.line.tug, format)] : []),
      ...input.drives.map((d, k) => driveSection(d, anchors[k] as string, format)),
      ...(input.line?.products ?? []).flatMap((p) => {
        const torques = drivesSection(p.product, p.programmed, input.line?.line.speed, format);
        return [...(torques ? [torques] : []), programSection(p.product.name, p.programmed, format)];
      }),
      ...(input.rolls ?? []).map((roll) => rollSection(roll, format)),
      {
        id: 'method',
        title: 'Method',
        isOwnPage: true,
        blocks: methodWords.map((text) => ({ kind: 'paragraph', text })),
      },
      {
        id: 'sign-off',
        title: 'Sign-off',
        lead: 'To be filled in by hand, after the values have been checked on the machine.',
        isOwnPage: false,
        blocks: [
          {
            kind: 'signOff',
            states: ['As found', 'As left'],
            fields: ['By', 'Date', 'Signature', 'Remarks'],
          },
        ],
      },
    ],
  };
}

/** What is not in the report, so that nobody takes a short list for the whole line. */
function missingBlocks({ missing = [] }: CommissioningInput): Block[] {
  if (missing.length === 0) return [];
  return [
    { kind: 'heading', text: 'Not in this report' },
    { kind: 'list', items: missing.map((m) => `${m.section}: ${m.why}. Next: ${m.next}.`) },
  ];
}
