import type { Command } from 'commander';
import type { Finding } from '../engine/findings.js';
import type { LineDuty } from '../engine/program/drives/lineDuty.js';
import type { ProgramLimit } from '../engine/program/limits.js';
import type { ProgrammedRoll } from '../engine/program/programmedRoll.js';
import { type ProgrammedLine, programmeLine } from '../engine/program/programmeLine.js';
import { toProgramDocument } from '../engine/project/product/programDocument.js';
import { makeFormat } from '../engine/report/format.js';
import { programFigure, shareNames } from '../engine/report/program/figures.js';
import { limitQuantity } from '../engine/report/program/limitQuantity.js';
import { renderStandaloneFigure } from '../engine/report/svg/standalone.js';
import { formatNumber, formatQuantity } from '../engine/units/format.js';
import type { QuantityKey, UnitSystem } from '../engine/units/quantity.js';
import { atomicWrite } from '../node/files/atomicWrite.js';
import { readLine } from '../node/lineFolder/readLine.js';
import { readProduct } from '../node/lineFolder/readProduct.js';
import { rowCount, unitSystem } from './options.js';
import { findingLines, runCommand } from './output.js';
import { textTable } from './table.js';

interface Options {
  product: string;
  diameters: number;
  svg?: string;
  momentumTerm?: boolean;
  json?: boolean;
  units: UnitSystem;
}

export function registerProgram(program: Command): void {
  program
    .command('program')
    .argument('<line>', 'line file (line.yaml)')
    .requiredOption('--product <file>', 'product file with the schedules')
    .description(
      'schedules of tension, nip and torque differential over the roll, what they ask of the motors, and every limit',
    )
    .option('--diameters <n>', 'number of rows, evenly spaced from core to full roll', rowCount, 50)
    .option('--svg <file>', 'write the schedules as a figure')
    .option(
      '--momentum-term',
      'add the term J̇·ω of a roll to its torque, which the web’s momentum cancels: only for comparing with papers that carry it',
    )
    .option('--json', 'print one JSON document')
    .option('--units <si|us>', 'units of the printed tables and the figure', unitSystem, 'si')
    .action((path: string, options: Options) =>
      runCommand(options.json === true, async () => {
        const { line, placed } = await readLine(path);
        const stated = await readProduct(options.product);
        const programmed = programmeLine(line, stated.product, options.diameters, options.units, {
          momentumTerm: options.momentumTerm === true,
        });
        const findings = [
          ...programmed.productFindings.map((f) => ({ ...f, where: stated.placed(f.where) })),
          ...programmed.lineFindings.map((f) => ({ ...f, where: placed(f.where) })),
        ];
        if (options.svg !== undefined)
          await writeFigure(options.svg, stated.product.name, programmed, options.units);
        const names = { line: line.name, product: stated.product.name };
        return {
          document: toProgramDocument({ ...names, ...programmed, findings }),
          text: () =>
            programText(names, line.invented || stated.product.invented, programmed, findings, options.units),
          refused: findings.some((f) => f.severity === 'refuse'),
        };
      }),
    );
}

async function writeFigure(
  file: string,
  product: string,
  { winder, unwind }: ProgrammedLine,
  units: UnitSystem,
): Promise<void> {
  const roll = winder ?? unwind;
  if (roll === undefined) return;
  const figure = programFigure('program', `${product}: ${roll.result.role}`, roll, makeFormat(units));
  await atomicWrite(file, renderStandaloneFigure(figure));
  process.stderr.write(`wrote ${file}\n`);
}

/** What a person reads of a program. */
function programText(
  names: { line: string; product: string },
  invented: boolean,
  { winder, unwind, speed, duty }: ProgrammedLine,
  findings: readonly Finding[],
  units: UnitSystem,
): string {
  const out = [`${names.product} on ${names.line}`, ''];
  if (invented) out.push('Invented demo data. Do not use any number of it.', '');
  for (const roll of [winder, unwind]) if (roll !== undefined) out.push(...rollText(roll, speed, units), '');
  if (duty !== undefined) out.push(...dutyText(duty, units), '');
  if (findings.length > 0) out.push('findings:', ...findingLines(findings), '');
  out.push(
    'Whoever enters these values checks them first, at low speed. Follow local codes and the machine’s risk assessment;',
    'nothing here is a safety function, and nothing writes to a drive.',
  );
  return out.join('\n');
}

function rollText(roll: ProgrammedRoll, speed: number | undefined, units: UnitSystem): string[] {
  const { result, setpoints, limits } = roll;
  const show = (value: number, quantity: QuantityKey, digits = 4): string =>
    formatQuantity(value, quantity, units, digits);
  const force = (value: number | undefined): string =>
    value === undefined ? '' : show(value, 'tensionPerWidth');
  const out = [
    `${result.role}:`,
    textTable(
      ['schedule', 'law', 'at the core', 'at the full roll', 'taper', 'steepest'],
      result.knobs.map((k) => [
        k.name,
        k.law,
        force(k.start),
        force(k.end),
        k.taper === undefined ? '' : `${formatNumber(100 * k.taper, 3)} %`,
        `${slopeText(k.steepest.relativeSlope, units)} at ${show(k.steepest.diameter, 'length')}`,
      ]),
    ),
    '',
  ];
  const names = shareNames(roll);
  const hasShares = result.knobs.some((k) => k.name === 'torque differential');
  const motors = roll.motors[0]?.map((m) => m.name) ?? [];
  const columns: [string, (k: number) => string][] = [
    ['diameter', (k) => show(result.rows[k].diameter, 'length')],
    ['length', (k) => show(result.rows[k].length, 'webLength')],
    ['tension', (k) => force(result.rows[k].tension)],
    ['nip', (k) => force(result.rows[k].nip)],
    ['differential', (k) => (hasShares ? force(result.rows[k].torqueDifferential) : '')],
    [names.first, (k) => (hasShares ? force(result.rows[k].share1) : '')],
    [names.second, (k) => (hasShares ? force(result.rows[k].share2) : '')],
    ['drum nips', (k) => force(result.rows[k].drumNip)],
    ['wound on', (k) => force(result.rows[k].woundOnTension)],
    ...motors.map((name, j): [string, (k: number) => string] => [
      `${name}`,
      (k) => {
        const m = roll.motors[k]?.[j];
        if (m === undefined) return '';
        return `${show(m.torque, 'torque', 3)}${m.fraction === undefined ? '' : `, ${formatNumber(100 * m.fraction, 3)} %`}`;
      },
    ]),
  ];
  const used = columns.filter(([, text]) => result.rows.some((_, k) => text(k) !== ''));
  out.push(
    textTable(
      used.map(([head]) => head),
      result.rows.map((_, k) => used.map(([, text]) => text(k))),
    ),
  );
  if (motors.length > 0)
    out.push(
      `torques at the motors, running at ${speed === undefined ? 'a crawl: the line states no speed' : show(speed, 'speed')}`,
    );
  if (setpoints.length > 1)
    out.push(
      '',
      textTable(
        ['tension setpoint', 'of the schedule', 'at the core', 'at the full roll', 'in and out over'],
        setpoints.map((s) => [
          s.state,
          `${formatNumber(100 * s.share, 3)} %`,
          force(s.atCore),
          force(s.atFull),
          s.ramp === undefined ? '' : show(s.ramp, 'time', 3),
        ]),
      ),
    );
  if (limits.length > 0)
    out.push(
      '',
      textTable(
        ['limit', 'margin', 'tightest at', 'value there', 'limit there'],
        [...limits]
          .sort((a, b) => a.margin - b.margin)
          .map((l) => [
            l.name,
            `${formatNumber(100 * l.margin, 3)} %`,
            show(l.diameter, 'length'),
            limitText(l, l.value, units),
            limitText(l, l.limit, units),
          ]),
      ),
    );
  return out;
}

/** Duty of the motors over one cycle of the line, and what a stop asks of them. */
function dutyText(duty: LineDuty, units: UnitSystem): string[] {
  const show = (value: number, quantity: QuantityKey): string => formatQuantity(value, quantity, units, 3);
  const out = [
    `duty over a cycle of ${show(duty.cycleTime, 'time')}: speed up, run one roll, stop`,
    textTable(
      ['drive', 'RMS', 'of rated current', 'peak', 'driving', 'braking', 'fastest', 'range', 'load : rotor'],
      duty.drives.map((d) => [
        d.name,
        show(d.rms, 'torque'),
        `${formatNumber(100 * d.rmsFraction, 3)} %`,
        show(d.peak, 'torque'),
        show(d.drivingPower, 'power'),
        show(d.brakingPower, 'power'),
        show(d.highestSpeed, 'angularSpeed'),
        d.speedRange > 1 ? `${formatNumber(d.speedRange, 3)} : 1` : '',
        d.loadRatio === undefined
          ? ''
          : d.loadRatio[0] === d.loadRatio[1]
            ? formatNumber(d.loadRatio[0], 3)
            : d.loadRatio.map((r) => formatNumber(r, 3)).join(' to '),
      ]),
    ),
  ];
  if (duty.shortestStop !== undefined)
    out.push(
      `shortest stop of all together, full rolls, web intact: ${show(duty.shortestStop.time, 'time')}, set by ${duty.shortestStop.setBy}`,
    );
  if (duty.shortestBrokenStop !== undefined)
    out.push(
      `after a web break: ${show(duty.shortestBrokenStop.time, 'time')}, set by ${duty.shortestBrokenStop.setBy}`,
    );
  for (const { kind, time, intact, energy } of duty.stops)
    out.push(
      '',
      textTable(
        [
          `${kind} stop in ${show(time, 'time')}`,
          'torque at the roller',
          'left',
          'energy taken up',
          'peak power',
        ],
        intact.sections.map((s, k) => [
          s.name,
          show(s.torque, 'torque'),
          show(s.margin, 'torque'),
          show(energy[k].stop.absorbed, 'energy'),
          show(energy[k].stop.peakPower, 'power'),
        ]),
      ),
    );
  return out;
}

/** A slope as a share of the schedule's largest value, per 10 mm or per inch of diameter. */
const slopeText = (perMetre: number, units: UnitSystem): string =>
  units === 'si'
    ? `${formatNumber(perMetre, 3)} % per 10 mm`
    : `${formatNumber(2.54 * perMetre, 3)} % per in`;

function limitText(limit: ProgramLimit, value: number, units: UnitSystem): string {
  const quantity = limitQuantity(limit);
  return quantity === undefined ? slopeText(value, units) : formatQuantity(value, quantity, units, 4);
}
