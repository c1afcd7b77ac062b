import type { Command } from 'commander';
import { feedForward } from '../engine/feedforward/feedForward.js';
import type { FeedForward, FeedForwardTable } from '../engine/feedforward/types.js';
import { toDrive } from '../engine/project/drive.js';
import { toFeedForwardDocument } from '../engine/project/feedforward.js';
import { fromIdentificationDocument } from '../engine/project/identification.js';
import { formatEstimate, formatNumber, formatQuantity } from '../engine/units/format.js';
import type { UnitSystem } from '../engine/units/quantity.js';
import { readDriveDocument } from '../node/documents/readDrive.js';
import { readIdentification } from '../node/documents/readIdentification.js';
import { positiveNumber, unitSystem } from './options.js';
import { findingLines, runCommand } from './output.js';
import { textTable } from './table.js';

interface Options {
  drive?: string;
  acceleration?: number;
  tolerance: number;
  json?: boolean;
  units: UnitSystem;
}

export function registerFeedforward(program: Command): void {
  program
    .command('feedforward')
    .argument('<identification>', 'identification of the drive (JSON of tautline identify)')
    .description('torque feed-forward of one drive: table over speed, inertia, assist at start')
    .option('--drive <file>', 'drive file; without it the drive inside the identification')
    .option('--acceleration <m/s²>', 'acceleration of the web, to check the torque limit', positiveNumber)
    .option(
      '--tolerance <percent>',
      'largest interpolation error, in percent of the largest drag at either end of the table',
      positiveNumber,
      1,
    )
    .option('--json', 'print one JSON document')
    .option('--units <si|us>', 'units of the printed tables', unitSystem, 'si')
    .action((path: string, options: Options) =>
      runCommand(options.json === true, async () => {
        const identification = await readIdentification(path);
        const drive = toDrive(
          options.drive === undefined ? identification.drive : await readDriveDocument(options.drive),
        );
        const result = feedForward(fromIdentificationDocument(identification), drive, {
          tolerance: 0.01 * options.tolerance,
          acceleration: options.acceleration,
        });
        return {
          document: toFeedForwardDocument(result, drive.ratedTorque),
          text: () => feedForwardText(result, options.units),
          refused: result.verdict === 'refused',
        };
      }),
    );
}

/** What a person reads of a feed-forward on a terminal. */
function feedForwardText(f: FeedForward, units: UnitSystem): string {
  const out = [`${f.driveName}: torque feed-forward at the motor shaft`, ''];
  if (f.inertia !== undefined)
    out.push(
      `inertia ${formatEstimate(f.inertia.value, f.inertia.standardError, 'inertia', units)} (± standard error): times the acceleration of the motor, on top of the table`,
    );
  if (f.acceleration !== undefined)
    out.push(
      `speeding up and slowing down: ${formatQuantity(f.acceleration.web, 'acceleration', units)} of the web, ${formatQuantity(f.acceleration.motor, 'angularAcceleration', units)} of the motor`,
    );
  out.push('');
  if (f.rows.length > 0) out.push(...tableText(f.reverse === undefined ? '' : 'forward: ', f, units), '');
  if (f.reverse !== undefined) out.push(...tableText('reverse (magnitudes): ', f.reverse, units), '');
  if (f.offsetLeftOut !== undefined)
    out.push(
      `left out: torque offset ${formatEstimate(f.offsetLeftOut.value, f.offsetLeftOut.standardError, 'torque', units)}; it may be the zero of the torque signal`,
      '',
    );
  if (f.findings.length > 0) out.push('findings:', ...findingLines(f.findings), '');
  out.push(
    'Whoever enters these values checks them first, at low speed and without a web. Nothing here is a safety function.',
  );
  return out.join('\n');
}

function tableText(title: string, table: FeedForwardTable, units: UnitSystem): string[] {
  const { rows, assist, interpolationError, tolerance, identifiedRange, notFilled } = table;
  const cell = (value: number | undefined, text: (value: number) => string): string =>
    value === undefined ? '–' : text(value);
  const torque = (value: number | undefined): string =>
    cell(value, (v) => formatQuantity(v, 'torque', units, 4));
  const tug = (value: number | undefined): string =>
    cell(value, (v) => formatQuantity(v, 'tension', units, 2));
  const ramping = rows.some((r) => r.accelerating !== undefined);
  const head = ['speed', 'torque', 'of rated', 'tug left ±'];
  if (ramping) head.push('speeding up', 'slowing down', 'tug left then ±');
  const out = [
    textTable(
      [`${title}${head[0]}`, ...head.slice(1), ''],
      rows.map((r) => [
        formatQuantity(r.speed, 'angularSpeed', units, 4),
        torque(r.torque),
        cell(r.fraction, (v) => `${formatNumber(100 * v, 4)} %`),
        tug(r.tugHalfWidth),
        ...(ramping ? [torque(r.accelerating), torque(r.decelerating), tug(r.tugHalfWidthAccelerating)] : []),
        r.extrapolated ? 'extrapolated' : '',
      ]),
    ),
  ];
  if (interpolationError !== undefined && tolerance !== undefined)
    out.push(
      `straight lines between the rows miss the curve by at most ${formatQuantity(interpolationError, 'torque', units, 2)} (allowed: ${formatQuantity(tolerance, 'torque', units, 2)})`,
    );
  if (identifiedRange !== undefined)
    out.push(
      `identified from ${identifiedRange.map((w) => formatQuantity(w, 'angularSpeed', units)).join(' to ')}`,
    );
  if (notFilled !== undefined)
    out.push(
      `no rows from ${notFilled.map((w) => formatQuantity(w, 'angularSpeed', units)).join(' to ')}: not identified`,
    );
  if (assist !== undefined)
    out.push(
      `assist at start ${formatQuantity(assist.torque, 'torque', units)} (95 %: ${assist.interval95.map((x) => formatQuantity(x, 'torque', units)).join(' to ')}), falling with speed to none at ${formatQuantity(assist.fadeSpeed, 'angularSpeed', units)}, and with time to none at ${formatNumber(assist.fadeTime, 2)} s`,
    );
  return out;
}
