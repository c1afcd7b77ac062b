import type { Command } from 'commander';
import { feedForward } from '../engine/feedforward/feedForward.js';
import { playFeedForward } from '../engine/feedforward/play.js';
import type { FeedForward, FeedForwardTable } from '../engine/feedforward/types.js';
import type { Drive } from '../engine/line/drive.js';
import { toDrive } from '../engine/project/drive.js';
import { toFeedForwardDocument } from '../engine/project/feedforward.js';
import { toPlayedDocument } from '../engine/project/feedforwardPlay.js';
import { fromIdentificationDocument } from '../engine/project/identification.js';
import { mapChannels } from '../engine/recording/mapChannels.js';
import type { Recording } from '../engine/recording/recording.js';
import { formatEstimate, formatNumber, formatQuantity } from '../engine/units/format.js';
import type { UnitSystem } from '../engine/units/quantity.js';
import { readDriveDocument } from '../node/documents/readDrive.js';
import { readIdentification } from '../node/documents/readIdentification.js';
import { readRecordingTable } from '../node/store/readRecordingTable.js';
import {
  addColumnOptions,
  addDialectOptions,
  type ColumnOptions,
  type DialectOptions,
  positiveNumber,
  textOptions,
  unitSystem,
} from './options.js';
import { findingLines, runCommand } from './output.js';
import { playText } from './playText.js';
import { textTable } from './table.js';

interface Options extends ColumnOptions, DialectOptions {
  drive?: string;
  acceleration?: number;
  tolerance: number;
  play?: string;
  average?: number;
  removeOffset?: boolean;
  flipTorque?: boolean;
  json?: boolean;
  units: UnitSystem;
}

export function registerFeedforward(program: Command): void {
  const command = program
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
    .option('--play <recording>', 'what the web would have felt in a recording, without and with it')
    .option(
      '--average <seconds>',
      'length of the windows that the played torque is averaged over',
      positiveNumber,
    )
    .option('--remove-offset', 'takes the identified torque offset off the recording that is played');
  addDialectOptions(addColumnOptions(command))
    .option('--flip-torque', 'turn the sign of the torque of the recording that is played')
    .option('--json', 'print one JSON document')
    .option('--units <si|us>', 'units of the printed tables', unitSystem, 'si')
    .action((path: string, options: Options) =>
      runCommand(options.json === true, async () => {
        const identification = await readIdentification(path);
        const drive = toDrive(
          options.drive === undefined ? identification.drive : await readDriveDocument(options.drive),
        );
        const id = fromIdentificationDocument(identification);
        const result = feedForward(id, drive, {
          tolerance: 0.01 * options.tolerance,
          acceleration: options.acceleration,
        });
        const recording =
          options.play === undefined ? undefined : await readPlayed(options.play, drive, options);
        const played = recording && playFeedForward(recording, drive, id, result, options);
        return {
          document: {
            ...toFeedForwardDocument(result, drive.ratedTorque),
            ...(played && { play: toPlayedDocument(drive.name, recording.source, played) }),
          },
          text: () =>
            [
              feedForwardText(result, options.units),
              ...(played ? [playText(recording.source.file, played, options.units)] : []),
              caution,
            ].join('\n\n'),
          refused: result.verdict === 'refused' || played?.verdict === 'refused',
        };
      }),
    );
}

async function readPlayed(path: string, drive: Drive, options: Options): Promise<Recording> {
  const table = await readRecordingTable(path, textOptions(options));
  return mapChannels(table, drive, {
    channels: { ...table.stated?.channels, ...options.channel },
    units: options.unit,
    sampleInterval: options.sampleInterval ?? table.stated?.sampleInterval,
    flipTorque: options.flipTorque,
  });
}

const caution =
  'Whoever enters these values checks them first, at low speed and without a web. Nothing here is a safety function.';

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
  return out.join('\n').trimEnd();
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
