import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Command } from 'commander';
import type { Finding } from '../engine/findings.js';
import type { Estimates, ParameterName } from '../engine/identify/identification.js';
import { toComparisonDocument } from '../engine/project/comparison.js';
import { toFeedForwardDocument } from '../engine/project/feedforward.js';
import { estimateKeys, toIdentificationDocument } from '../engine/project/identification.js';
import { toLineCheckDocument } from '../engine/project/line/lineCheckDocument.js';
import { toProgramDocument } from '../engine/project/product/programDocument.js';
import { formatEstimate, formatNumber, formatQuantity } from '../engine/units/format.js';
import type { QuantityKey, UnitSystem } from '../engine/units/quantity.js';
import {
  type CommissionedSection,
  type CommissionResult,
  commissionFolder,
} from '../node/lineFolder/commissionFolder.js';
import { unitSystem } from './options.js';
import { findingLines, runCommand } from './output.js';
import { textTable } from './table.js';

export function registerCommission(program: Command): void {
  program
    .command('commission')
    .argument('<folder>', 'line folder with line.yaml, drives/ and recordings/ or exports/')
    .description(
      'the whole job of a line folder: identify every drive, feed forward, compare visits, write the report',
    )
    .option('--json', 'print one JSON document')
    .option('--units <si|us>', 'units of the report and the printed tables', unitSystem, 'si')
    .action((folder: string, options: { json?: boolean; units: UnitSystem }) =>
      runCommand(options.json === true, async () => {
        const result = await commissionFolder(folder, {
          date: new Date().toISOString().slice(0, 10),
          units: options.units,
          onProgress: (message) => process.stderr.write(`${message}\n`),
        });
        const truth = await readTruth(folder);
        return {
          document: commissionDocument(result),
          text: () => commissionText(result, folder, options.units, truth),
          refused:
            result.sections.some((s) => s.feedforward === undefined) ||
            (result.sections.length === 0 && result.results === undefined) ||
            lineFindings(result).some((f) => f.severity === 'refuse'),
          unreadable: result.unreadable.length > 0,
        };
      }),
    );
}

/** `tautline/commission@1`: everything that was made, drive by drive in web order. */
function commissionDocument(result: CommissionResult): unknown {
  return {
    schema: 'tautline/commission@1',
    line: result.line.name,
    invented: result.line.invented === true,
    drives: result.sections.map((s) => ({
      section: s.section,
      drive: s.driveFile,
      visits: s.visits.map((v) => ({
        visit: v.visit,
        recording: v.recording,
        identification: toIdentificationDocument(v.identification, s.driveDocument),
      })),
      feedforward: s.feedforward && toFeedForwardDocument(s.feedforward, s.drive.ratedTorque),
      comparison: s.comparison && toComparisonDocument(s.comparison),
    })),
    ...(result.results && {
      check: toLineCheckDocument(result.results.line, result.results.check, undefined, result.results.tug),
      programs: result.results.products.map(({ file, product, programmed }) => ({
        file,
        program: toProgramDocument({
          line: result.line.name,
          product: product.name,
          ...programmed,
          findings: [...programmed.productFindings, ...programmed.lineFindings],
        }),
      })),
    }),
    unrecorded: result.unrecorded,
    unreadable: result.unreadable.map(({ section, file, error: { code, message, where, next } }) => ({
      section,
      file,
      error: { code, message, where, next },
    })),
    written: result.written,
  };
}

/** Findings of the line and of its programs. */
const lineFindings = ({ results }: CommissionResult): Finding[] =>
  results === undefined
    ? []
    : [
        ...results.check.findings,
        ...(results.tug?.findings ?? []),
        ...results.products.flatMap((p) => [...p.programmed.productFindings, ...p.programmed.lineFindings]),
      ];

/** What the line's check and its programs come to, in a few lines; the report has the rest. */
function lineText(result: CommissionResult): string[] {
  const { results } = result;
  if (results === undefined) return [];
  const out: string[] = [];
  for (const { product, programmed } of results.products)
    for (const roll of [programmed.winder, programmed.unwind]) {
      if (roll === undefined) continue;
      const [tightest] = [...roll.limits].sort((a, b) => a.margin - b.margin);
      out.push(
        `${product.name}, ${roll.result.role}: ${roll.limits.length} limits${tightest === undefined ? '' : `, tightest ${tightest.name} with ${formatNumber(100 * tightest.margin, 3)} % left`}`,
      );
    }
  const findings = lineFindings(result).filter((f) => f.severity !== 'info');
  return ['line and programs', ...out.map((line) => `  ${line}`), ...findingLines(findings), ''];
}

/** Truth of an invented line, to print beside what was identified; a real line folder has none. */
interface Truth {
  readonly drives: readonly {
    readonly drive: string;
    readonly visit: string;
    readonly truth: Record<string, number>;
  }[];
}

async function readTruth(folder: string): Promise<Truth | undefined> {
  const text = await readFile(join(folder, 'truth.json'), 'utf8').catch(() => undefined);
  return text === undefined ? undefined : (JSON.parse(text) as Truth);
}

const facts: readonly {
  readonly name: ParameterName;
  readonly label: string;
  readonly quantity: QuantityKey;
}[] = [
  { name: 'inertia', label: 'inertia', quantity: 'inertia' },
  { name: 'breakaway', label: 'breakaway', quantity: 'torque' },
  { name: 'coulomb', label: 'Coulomb drag', quantity: 'torque' },
  { name: 'viscous', label: 'viscous drag', quantity: 'viscousDrag' },
  { name: 'quadratic', label: 'quadratic drag', quantity: 'quadraticDrag' },
];

function estimateRows(
  estimates: Estimates,
  truth: Record<string, number> | undefined,
  units: UnitSystem,
): string[][] {
  return facts.flatMap(({ name, label, quantity }) => {
    const e = estimates[name];
    const known = truth?.[estimateKeys[name]];
    if (e === undefined && known === undefined) return [];
    return [
      [
        label,
        e === undefined ? 'not estimated' : formatEstimate(e.value, e.standardError, quantity, units),
        ...(truth === undefined
          ? []
          : [known === undefined ? '' : formatQuantity(known, quantity, units, 4)]),
      ],
    ];
  });
}

function sectionText(section: CommissionedSection, units: UnitSystem, truth: Truth | undefined): string[] {
  const out: string[] = [];
  for (const visit of section.visits) {
    const known = truth?.drives.find((d) => d.drive === section.driveFile && d.visit === visit.visit)?.truth;
    const head = [`${section.drive.name}, ${visit.visit}`, visit.identification.verdict];
    const rows = estimateRows(visit.identification.estimates, known, units);
    out.push(textTable(known === undefined ? head : [...head, 'invented truth'], rows));
    const findings = visit.identification.findings.filter((f) => f.severity !== 'info');
    if (findings.length > 0) out.push(...findingLines(findings));
    out.push('');
  }
  if (section.comparison !== undefined) {
    const changed = section.comparison.findings.filter((f) => f.severity !== 'info');
    out.push(`${section.drive.name}: first against latest visit`);
    out.push(
      ...(changed.length > 0 ? findingLines(changed) : ['  nothing changed beyond its uncertainty']),
      '',
    );
  }
  return out;
}

function commissionText(
  result: CommissionResult,
  folder: string,
  units: UnitSystem,
  truth: Truth | undefined,
): string {
  const out = [result.line.name, ''];
  if (result.line.invented)
    out.push('Invented demo data: no such machine exists. Do not use any number of it.', '');
  for (const section of result.sections) out.push(...sectionText(section, units, truth));
  out.push(...lineText(result));
  for (const name of result.unrecorded)
    out.push(`${name}: no recording yet; put one named DRIVE.VISIT.csv into exports/, or import it`);
  for (const { section, file, error } of result.unreadable)
    out.push(
      `${section}: ${file} left out`,
      `  ✗ ${error.code}: ${error.message}`,
      `      next: ${error.next}`,
      '',
    );
  out.push(...result.written.map((path) => `wrote ${join(folder, path)}`), '');
  out.push(
    'Rotating rollers, nips, stored web tension and roll energy injure people. Follow local codes and the machine’s risk',
    'assessment, and leave the work to qualified persons. Nothing here is a safety function, and nothing writes to a drive.',
  );
  return out.join('\n');
}
