import { type Command, Option } from 'commander';
import type { Finding } from '../engine/findings.js';
import { type DesignedSchedule, designSchedule } from '../engine/program/roll/design/designSchedule.js';
import type { DesignTarget } from '../engine/program/roll/design/designTarget.js';
import { lineLimits } from '../engine/program/roll/lineLimits/lineLimits.js';
import { predictRoll, type RollPrediction } from '../engine/program/roll/predictRoll.js';
import { type RollBand, rollBand } from '../engine/program/roll/rollBand.js';
import { rollBuild } from '../engine/program/roll/rollBuild.js';
import { type TaperAdvice, type TaperVariant, taperAdvice } from '../engine/program/roll/taperAdvice.js';
import { toDesignDocument } from '../engine/project/roll/designDocument.js';
import { lowestTension, toDesignLimits } from '../engine/project/roll/designLimitsDocument.js';
import { toRollBandDocument } from '../engine/project/roll/rollBandDocument.js';
import { designTargets, toDesignTarget } from '../engine/project/roll/rollDocument.js';
import { toRollResult } from '../engine/project/roll/rollResultDocument.js';
import { toTaperAdviceDocument } from '../engine/project/roll/taperAdviceDocument.js';
import { makeFormat } from '../engine/report/format.js';
import { rollStates } from '../engine/report/roll/afterWords.js';
import { rollFigure } from '../engine/report/roll/figures.js';
import { spreadWords } from '../engine/report/roll/spreadWords.js';
import { renderStandaloneFigure } from '../engine/report/svg/standalone.js';
import { type StressUpdate, stressUpdates } from '../engine/roll/stress/windingInput.js';
import { formatNumber, formatQuantity } from '../engine/units/format.js';
import type { QuantityKey, UnitSystem } from '../engine/units/quantity.js';
import { placedError } from '../node/documents/yamlDocument.js';
import { atomicWrite } from '../node/files/atomicWrite.js';
import { type PlacedRoll, readRoll } from '../node/lineFolder/readRoll.js';
import { readRollLine } from '../node/lineFolder/readRollLine.js';
import { designLimitsText } from './designLimitsText.js';
import { finiteNumber, rowCount, unitSystem } from './options.js';
import { findingLines, runCommand } from './output.js';
import { rollSlipText } from './rollSlipText.js';
import { textTable } from './table.js';

export function registerRoll(program: Command): void {
  program
    .command('roll')
    .argument('<roll>', 'roll file: web, core and how it is wound')
    .description('pressure, hoop stress and slip margin in a wound roll')
    .option('--svg <file>', 'write pressure, stress and slip margin as a figure')
    .addOption(
      new Option('--design <target>', 'design the schedules within the limits of the roll').choices(
        designTargets,
      ),
    )
    .option(
      '--wanted <number>',
      'when the design is reached: margin (1.5), half spread over mean (0.05), or smallest hoop stress in Pa',
      finiteNumber,
    )
    .option(
      '--band <rolls>',
      'wind it this many times with modulus, stack law and friction drawn as uncertain as stated, else as usual',
      rowCount,
    )
    .option('--line <file>', 'the line it is wound on; line.yaml of its folder when left out')
    .option('--product <file>', 'the product it is of; products/ of the line, by its name, when left out')
    .option('--full', 'follow every lap, also of long rolls')
    .addOption(
      new Option(
        '--update <where>',
        'where the modulus of a lap is taken; explicit is the form as first published',
      )
        .choices(stressUpdates)
        .default('mid-increment'),
    )
    .option('--json', 'print one JSON document')
    .option('--units <si|us>', 'units of the printed tables and the figure', unitSystem, 'si')
    .action((path: string, options: RollOptions) =>
      runCommand(options.json === true, async () => {
        const { document, input, placed } = await readRoll(path);
        const own = await readRollLine(path, options);
        const found = own && lineLimits(input, own.line, own.product, options.units);
        const ofLine = found && 'winder' in found ? found : undefined;
        const { roll, advice, target, design, limits, band } = inPlace(placed, () => {
          const resolution = options.full === true ? 'full' : 'automatic';
          const advice = taperAdvice(
            input,
            options.units,
            (own, units) => predictRoll(own, units, resolution, options.update),
            lowestTension(document, ofLine),
          );
          const target = targetOf(options) ?? toDesignTarget(document);
          const limits = target && toDesignLimits(document, ofLine);
          const design =
            target &&
            limits &&
            designSchedule(input, target, limits, {
              units: options.units,
              onStep: (step, most) => {
                process.stderr.write(`designing: step ${step} of at most ${most}\n`);
                return true;
              },
            });
          const band =
            options.band === undefined
              ? undefined
              : rollBand(design?.input ?? input, {
                  rolls: options.band,
                  onProgress: (done, of) => {
                    process.stderr.write(`winding: ${done} of ${of} rolls\n`);
                    return true;
                  },
                });
          return {
            advice,
            band,
            roll: (advice.variants.find((v) => v.name === 'present') as TaperVariant).prediction,
            ...(target && { target, design, limits }),
          };
        });
        const findings = [...roll.findings, ...(found?.findings ?? [])].map((f) => ({
          ...f,
          where: placed(f.where),
        }));
        const name = document.name ?? 'roll';
        if (options.svg !== undefined) {
          await atomicWrite(
            options.svg,
            renderStandaloneFigure(rollFigure('roll', name, roll, makeFormat(options.units))),
          );
          process.stderr.write(`wrote ${options.svg}\n`);
        }
        return {
          document: toRollResult(name, roll, findings, {
            taper: toTaperAdviceDocument(advice),
            ...(target && design && limits && { design: toDesignDocument(target, design, limits) }),
            ...(band && { band: toRollBandDocument(band) }),
          }),
          text: () =>
            [
              rollText(name, document.invented === true, roll, findings, options.units),
              ...rollSlipText(roll, options.units),
              ...afterText(roll, options.units),
              taperText(advice, options.units),
              ...(target && design && limits
                ? [
                    designText(target, design, options.units),
                    designLimitsText(toDesignDocument(target, design, limits), own, options.units),
                  ]
                : []),
              ...(band ? [bandText(band, options.units)] : []),
              caution,
            ].join('\n'),
          refused: findings.some((f) => f.severity === 'refuse'),
        };
      }),
    );
}

interface RollOptions {
  readonly svg?: string;
  readonly design?: (typeof designTargets)[number];
  readonly wanted?: number;
  readonly band?: number;
  readonly full?: boolean;
  readonly update?: StressUpdate;
  readonly line?: string;
  readonly product?: string;
  readonly json?: boolean;
  readonly units: UnitSystem;
}

/** Runs what may refuse a value of the document, and says where in the file it stands. */
function inPlace<T>(placed: PlacedRoll['placed'], run: () => T): T {
  try {
    return run();
  } catch (error) {
    throw placedError(error, placed);
  }
}

const targetOf = ({ design: target, wanted }: RollOptions): DesignTarget | undefined =>
  target && toDesignTarget({ design: { target, ...(wanted !== undefined && { wanted, floor_Pa: wanted }) } });

/** Rows of the printed table, evenly spread over the laps. */
const rows = 15;

/** What a person reads of a predicted roll. */
function rollText(
  name: string,
  invented: boolean,
  roll: RollPrediction,
  findings: readonly Finding[],
  units: UnitSystem,
): string {
  const show = (x: number, quantity: QuantityKey): string => formatQuantity(x, quantity, units, 4);
  const n = roll.radius.length;
  const picked = [...new Set(Array.from({ length: rows }, (_, k) => Math.round((k * (n - 1)) / (rows - 1))))];
  const margin = (x: number): string => (Number.isFinite(x) ? formatNumber(x, 3) : '');
  const out = [`${name}: ${n} laps`, ''];
  if (invented) out.push('Invented demo data. Do not use any number of it.', '');
  out.push(
    textTable(
      ['radius', 'pressure', 'hoop stress', 'wound on', 'slip margin'],
      picked.map((i) => [
        show(roll.radius[i], 'length'),
        show(roll.pressure[i], 'pressure'),
        show(roll.hoopStress[i], 'pressure'),
        show(roll.woundOnTension[i], 'tensionPerWidth'),
        roll.slip === undefined ? '' : margin(roll.slip.margin[i]),
      ]),
    ),
    '',
    `pressure at the core ${show(roll.corePressure, 'pressure')}${roll.plateauPressure === undefined ? '' : `, in the middle of the build ${show(roll.plateauPressure, 'pressure')}`}`,
    `smallest hoop stress ${show(roll.minimumHoopStress.value, 'pressure')} at a radius of ${show(roll.minimumHoopStress.radius, 'length')}`,
    ...roll.slipCases
      .filter((c) => Number.isFinite(c.smallest.value))
      .map(
        (c) =>
          `${c.name}: layers hold ${margin(c.smallest.value)} times what is asked, least at a radius of ${show(c.smallest.radius, 'length')}`,
      ),
  );
  const limits = roll.largestDeceleration;
  if (limits !== undefined)
    out.push(
      `braked at the core it holds up to ${limitText(limits.webOn, units)} with its web, ${limitText(limits.webBroken, units)} after a web break (friction ${formatNumber(roll.frictionUsed ?? Number.NaN, 3)}, its low end)`,
    );
  const { outerRadius, density } = roll.compressed;
  if (Number.isFinite(outerRadius))
    out.push(
      `with its layers compressed the roll has a diameter of ${show(2 * outerRadius, 'length')}${density === undefined ? '' : ` and a density of ${show(density, 'density')}`}; pressures are those of small strain`,
    );
  out.push(
    `scheme: modulus ${updateWords[roll.scheme.update]}, ${followed(roll.scheme.window)}; error about ${formatNumber(100 * roll.scheme.error, 2)} % of the largest pressure`,
    '',
  );
  if (findings.length > 0) out.push('findings:', ...findingLines(findings), '');
  return out.join('\n');
}

const caution = [
  'The equations are verified; whether they hold for a web only a stack test and measured rolls can say. A roll holds energy and weight: follow the',
  'machine’s risk assessment. Nothing here is a safety function.',
].join('\n');

/** The roll after each step that follows winding. */
function afterText(roll: RollPrediction, units: UnitSystem): string[] {
  if (roll.after.length === 0) return [];
  const show = (x: number): string => formatQuantity(x, 'pressure', units, 4);
  return [
    'after winding:',
    textTable(
      ['step', 'at the core', 'highest pressure', 'smallest slip margin', ''],
      rollStates(roll, (key, si) => formatQuantity(si, key, units, 3)).map((s) => [
        s.words,
        show(s.corePressure),
        show(s.highestPressure),
        s.smallestSlip === undefined ? '' : formatNumber(s.smallestSlip, 3),
        s.loosensAt === undefined ? '' : `loose at ${formatQuantity(s.loosensAt, 'length', units)}`,
      ]),
    ),
    '',
  ];
}

/** Whether taper is what this roll needs, with the three schedules side by side. */
function taperText({ words, variants }: TaperAdvice, units: UnitSystem): string {
  const show = (x: number, quantity: QuantityKey): string => formatQuantity(x, quantity, units, 4);
  return [
    'does taper help here?',
    ...words.map((w) => `  ${w}`),
    '',
    textTable(
      ['schedule', 'tension at full roll', 'slip margin', 'hoop stress', 'near outside', 'at the core'],
      variants.map(({ name, measures: m }) => [
        name,
        show(m.endTension, 'tensionPerWidth'),
        m.slip === undefined ? '' : formatNumber(m.slip.value, 3),
        show(m.minimumHoopStress, 'pressure'),
        show(m.outerPressure, 'pressure'),
        show(m.corePressure, 'pressure'),
      ]),
    ),
    '',
  ].join('\n');
}

/** What the roll may hold, given how uncertain its web is. */
function bandText(band: RollBand, units: UnitSystem): string {
  const show = (x: number, quantity: QuantityKey): string => formatQuantity(x, quantity, units, 3);
  const n = band.radius.length;
  const picked = [...new Set(Array.from({ length: 6 }, (_, k) => Math.round((k * (n - 1)) / 5)))];
  const { spread, smallestSlip: slip } = band;
  return [
    `how sure: 95 % of ${band.rolls} rolls, drawn ${spreadWords(spread)}`,
    textTable(
      ['radius', 'pressure from', 'to', 'hoop stress from', 'to'],
      picked.map((k) => [
        show(band.radius[k], 'length'),
        show(band.pressure.low[k], 'pressure'),
        show(band.pressure.high[k], 'pressure'),
        show(band.hoopStress.low[k], 'pressure'),
        show(band.hoopStress.high[k], 'pressure'),
      ]),
    ),
    ...(slip === undefined || band.slipShare === undefined
      ? []
      : [
          `smallest slip margin from ${formatNumber(slip.low, 3)} to ${formatNumber(slip.high, 3)}; layers slip in ${formatNumber(100 * band.slipShare, 2)} % of the rolls`,
        ]),
    '',
  ].join('\n');
}

/** A designed schedule with its knots. */
function designText(target: DesignTarget, made: DesignedSchedule, units: UnitSystem): string {
  const value = (x: number): string =>
    target.kind === 'hoop stress'
      ? formatQuantity(x, 'pressure', units)
      : target.kind === 'flat pressure'
        ? `± ${formatNumber(100 * x, 2)} %`
        : formatNumber(x, 3);
  const wanted = target.kind === 'hoop stress' ? target.floor : target.wanted;
  const { build, tension, torqueDifferential, nip } = rollBuild(made.input);
  const diameters =
    made.input.tension.law === 'table'
      ? made.input.tension.points.map((p) => p.diameter)
      : [build.core, build.full];
  const show = (x: number, quantity: QuantityKey): string => formatQuantity(x, quantity, units, 4);
  return [
    `designed for ${target.kind}: ${value(made.value)} (before ${value(made.before)}, wanted ${value(wanted)})`,
    ...(made.isReached ? [] : [`not reachable, because ${made.because.join('; ')}`]),
    '',
    textTable(
      [
        'diameter',
        'tension',
        ...(torqueDifferential ? ['torque differential'] : []),
        ...(made.input.nipSchedule ? ['nip'] : []),
      ],
      diameters.map((d) => [
        show(d, 'length'),
        show(tension.at(d), 'tensionPerWidth'),
        ...(torqueDifferential ? [show(torqueDifferential.at(d), 'tensionPerWidth')] : []),
        ...(made.input.nipSchedule ? [show(nip(d), 'tensionPerWidth')] : []),
      ]),
    ),
    '',
  ].join('\n');
}

const updateWords: Readonly<Record<StressUpdate, string>> = {
  'mid-increment': 'at mid-increment',
  corrected: 'at mid-increment, each lap solved twice',
  explicit: 'before each increment, as first published',
};

const followed = (window: RollPrediction['scheme']['window']): string =>
  window === 'full'
    ? 'every lap on its own'
    : `newest ${window.fine} laps one by one, every ${window.thinning}th of the older ones`;

const limitText = (x: number, units: UnitSystem): string =>
  Number.isFinite(x) ? formatQuantity(x, 'acceleration', units, 3) : 'any deceleration';
