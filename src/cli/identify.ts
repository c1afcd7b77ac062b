import { type Command, InvalidArgumentError } from 'commander';
import type { Identification } from '../engine/identify/identification.js';
import { parameterNames } from '../engine/identify/identification.js';
import { identify } from '../engine/identify/identify.js';
import { parameterQuantity } from '../engine/identify/parameterQuantity.js';
import { toDrive } from '../engine/project/drive.js';
import { toIdentificationDocument } from '../engine/project/identification.js';
import { mapChannels } from '../engine/recording/mapChannels.js';
import { formatEstimate, formatQuantity } from '../engine/units/format.js';
import type { UnitSystem } from '../engine/units/quantity.js';
import { readDriveDocument } from '../node/documents/readDrive.js';
import { readRecordingTable } from '../node/store/readRecordingTable.js';
import { dialectText } from './dialectText.js';
import {
  addColumnOptions,
  addDialectOptions,
  type ColumnOptions,
  type DialectOptions,
  textOptions,
  unitSystem,
} from './options.js';
import { findingLines, runCommand } from './output.js';
import { parameterLabels } from './parameterWords.js';
import { textTable } from './table.js';

const delay = (text: string): 'auto' | number => {
  if (text === 'auto') return 'auto';
  const value = Number(text);
  if (text.trim() === '' || !Number.isFinite(value))
    throw new InvalidArgumentError('expected auto or seconds');
  return value;
};

interface Options extends ColumnOptions, DialectOptions {
  drive: string;
  flipTorque?: boolean;
  compensateDelay: 'auto' | number;
  json?: boolean;
  units: UnitSystem;
}

export function registerIdentify(program: Command): void {
  const command = program
    .command('identify')
    .argument('<recording>', 'recording as exported by a drive, controller or historian, or an imported one')
    .description('inertia, drag and breakaway torque of one drive from one recording')
    .requiredOption('--drive <file>', 'drive file (nameplate and mechanics, YAML)');
  addDialectOptions(addColumnOptions(command))
    .option('--flip-torque', 'turn the sign of the torque, after the tool has flagged it')
    .option('--compensate-delay <auto|seconds>', 'delay of the torque against the speed', delay, 'auto')
    .option('--json', 'print one JSON document')
    .option('--units <si|us>', 'units of the printed tables', unitSystem, 'si')
    .action((recording: string, options: Options) =>
      runCommand(options.json === true, async () => {
        const document = await readDriveDocument(options.drive);
        const drive = toDrive(document);
        const table = await readRecordingTable(recording, textOptions(options));
        const mapped = mapChannels(table, drive, {
          channels: { ...table.stated?.channels, ...options.channel },
          units: options.unit,
          sampleInterval: options.sampleInterval ?? table.stated?.sampleInterval,
          flipTorque: options.flipTorque,
        });
        const result = identify(mapped, drive, { compensateDelay: options.compensateDelay });
        return {
          document: toIdentificationDocument(result, document),
          text: () =>
            `${dialectText(table.source, table.dialect)}\n\n${identificationText(result, options.units)}`,
          refused: result.verdict === 'refused',
        };
      }),
    );
}

/** What a person reads of an identification on a terminal. */
export function identificationText(id: Identification, units: UnitSystem): string {
  const out: string[] = [`${id.driveName}: ${id.verdict}`, ''];
  out.push(
    textTable(
      ['channel', 'column', 'unit', 'late'],
      id.channels.map((c) => [
        c.role,
        c.header,
        c.unit,
        c.delay === 0 ? '' : `${(1000 * c.delay).toPrecision(3)} ms`,
      ]),
    ),
    '',
  );
  const direction = (title: string, estimates: Identification['estimates']): void => {
    const rows = parameterNames.flatMap((name) => {
      const e = estimates[name];
      if (e === undefined) return [];
      const [lo, hi] = e.interval95.map((x) => formatQuantity(x, parameterQuantity[name], units, 4));
      return [
        [
          parameterLabels[name],
          formatEstimate(e.value, e.standardError, parameterQuantity[name], units),
          `${lo} to ${hi}`,
        ],
      ];
    });
    if (rows.length > 0) out.push(textTable([title, 'value ± standard error', '95 % interval'], rows), '');
  };
  direction(
    id.direction === -1 ? 'reverse' : id.reverse === undefined ? 'estimate' : 'forward',
    id.estimates,
  );
  if (id.reverse !== undefined) direction('reverse', id.reverse.estimates);
  const curve = id.dragCurve ?? id.apparentDragCurve;
  if (curve !== undefined && curve.length > 0) {
    const points = curve.filter((p) => p.from === 'fit');
    const shown = points.filter((_, k) => k % Math.max(1, Math.floor(points.length / 6)) === 0);
    out.push(
      textTable(
        [id.dragCurve === undefined ? 'apparent drag at' : 'drag at', 'torque', '± 95 %'],
        shown.map((p) => [
          formatQuantity(p.speed, 'angularSpeed', units),
          formatQuantity(p.torque, 'torque', units),
          formatQuantity(p.halfWidth95, 'torque', units, 2),
        ]),
      ),
      '',
    );
  }
  if (id.inertiaOverDiameter !== undefined)
    out.push(
      textTable(
        ['diameter', 'inertia at the motor shaft'],
        id.inertiaOverDiameter
          .filter((_, k) => k % 3 === 0)
          .map((p) => [
            formatQuantity(p.diameter, 'length', units),
            formatQuantity(p.inertia, 'inertia', units),
          ]),
      ),
      '',
    );
  if (id.rollDensity !== undefined)
    out.push(
      `roll density ${formatEstimate(id.rollDensity.value, id.rollDensity.standardError, 'density', units)}`,
      '',
    );
  if (id.notEstimated.length > 0) {
    out.push('not estimated:');
    for (const n of id.notEstimated)
      out.push(`  ${parameterLabels[n.name]}: ${n.why}`, `      next: ${n.next}`);
    out.push('');
  }
  if (id.findings.length > 0) out.push('findings:', ...findingLines(id.findings), '');
  out.push(
    'Rotating rollers and nips injure people. Follow local codes and the machine’s risk assessment; nothing here is a safety function.',
  );
  return out.join('\n');
}
