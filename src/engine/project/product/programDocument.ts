import type { Finding } from '../../findings.js';
import type { LineDuty } from '../../program/drives/lineDuty.js';
import type { MotorRow } from '../../program/motorRow.js';
import type { ProgrammedRoll } from '../../program/programmedRoll.js';
import type { RollRow } from '../../program/rollRows.js';
import { plain, tidy } from '../plain.js';

interface MotorDocument {
  readonly name: string;
  readonly speed_rad_per_s: number;
  readonly torque_Nm: number;
  readonly torque_percent?: number;
  readonly accelerating_Nm?: number;
  readonly decelerating_Nm?: number;
}

/** One diameter of a program; what something unknown would be needed for is absent. */
export interface ProgramRowDocument {
  readonly diameter_m: number;
  readonly length_m: number;
  readonly tension_N_per_m: number;
  readonly nip_N_per_m?: number;
  readonly torqueDifferential_N_per_m?: number;
  readonly share1_N_per_m?: number;
  readonly share2_N_per_m?: number;
  readonly woundOnTension_N_per_m?: number;
  readonly woundOnTensionRange_N_per_m?: readonly [number, number];
  readonly drumNip_N_per_m?: number;
  readonly motors: readonly MotorDocument[];
}

interface RollDocument {
  readonly rows: readonly ProgramRowDocument[];
  readonly schedules: readonly {
    readonly name: string;
    readonly law: string;
    readonly start_N_per_m: number;
    readonly end_N_per_m: number;
    readonly taper?: number;
    readonly steepest_per_m: number;
    readonly steepestAt_m: number;
  }[];
  readonly setpoints: readonly {
    readonly state: string;
    readonly share: number;
    readonly atCore_N_per_m: number;
    readonly atFull_N_per_m: number;
    readonly ramp_s?: number;
  }[];
  readonly limits: readonly {
    readonly name: string;
    /** What is left as a share of the limit; negative when broken. */
    readonly margin: number;
    readonly diameter_m: number;
    readonly value: number;
    readonly limit: number;
    readonly unit: string;
  }[];
}

/** `tautline/program-result@1`: what `tautline program` prints. `rows` and what stands beside them are the winder's, when the product has one. */
export interface ProgramResultDocument extends RollDocument {
  readonly schema: 'tautline/program-result@1';
  readonly line: string;
  readonly product: string;
  readonly role: 'winder' | 'unwind';
  readonly winderType?: string;
  /** Web speed that the motors' torques hold for. */
  readonly speed_m_per_s?: number;
  readonly unwind?: RollDocument;
  /** What a cycle of the line, one roll long, asks of its motors; absent while the line states no speed, acceleration and stop. */
  readonly duty?: DutyDocument;
  readonly findings: readonly Finding[];
}

interface DutyDocument {
  readonly cycle_s: number;
  readonly drives: readonly {
    readonly name: string;
    readonly rms_Nm: number;
    readonly rms_percent: number;
    readonly peak_Nm: number;
    readonly drivingPower_W: number;
    readonly brakingPower_W: number;
    readonly brakingEnergy_J: number;
    readonly highestSpeed_rad_per_s: number;
    readonly speedRange: number;
    readonly loadInertiaRatio?: readonly [number, number];
  }[];
  readonly shortestStop?: { readonly time_s: number; readonly setBy: string };
  /** The same after a web break. */
  readonly shortestBrokenStop?: { readonly time_s: number; readonly setBy: string };
  readonly stops: readonly {
    readonly kind: string;
    readonly time_s: number;
    readonly sections: readonly {
      readonly name: string;
      readonly torqueAtRoller_Nm: number;
      readonly margin_Nm: number;
      readonly absorbed_J: number;
      readonly peakPower_W: number;
    }[];
  }[];
}

export interface ProgramParts {
  readonly line: string;
  readonly product: string;
  readonly winder?: ProgrammedRoll;
  readonly winderType?: string;
  readonly unwind?: ProgrammedRoll;
  readonly speed?: number;
  readonly duty?: LineDuty;
  /** With their places in the files. */
  readonly findings: readonly Finding[];
}

/** A program as a document. */
export function toProgramDocument(parts: ProgramParts): ProgramResultDocument {
  const first = parts.winder ?? parts.unwind;
  const roll =
    first === undefined ? { rows: [], schedules: [], setpoints: [], limits: [] } : rollDocument(first);
  return plain({
    schema: 'tautline/program-result@1',
    line: parts.line,
    product: parts.product,
    role: parts.winder === undefined ? 'unwind' : 'winder',
    ...(parts.winderType !== undefined && { winderType: parts.winderType }),
    ...(parts.speed !== undefined && { speed_m_per_s: parts.speed }),
    ...roll,
    ...(parts.winder && parts.unwind && { unwind: rollDocument(parts.unwind) }),
    ...(parts.duty && { duty: dutyDocument(parts.duty) }),
    findings: parts.findings,
  });
}

function rollDocument({ result, motors, setpoints, limits }: ProgrammedRoll): RollDocument {
  return {
    rows: result.rows.map((row, k) => rowDocument(row, motors[k] ?? [])),
    schedules: result.knobs.map((knob) => ({
      name: knob.name,
      law: knob.law,
      start_N_per_m: tidy(knob.start),
      end_N_per_m: tidy(knob.end),
      ...(knob.taper !== undefined && { taper: tidy(knob.taper) }),
      steepest_per_m: tidy(knob.steepest.relativeSlope),
      steepestAt_m: tidy(knob.steepest.diameter),
    })),
    setpoints: setpoints.map((s) => ({
      state: s.state,
      share: tidy(s.share),
      atCore_N_per_m: tidy(s.atCore),
      atFull_N_per_m: tidy(s.atFull),
      ...(s.ramp !== undefined && { ramp_s: tidy(s.ramp) }),
    })),
    limits: limits.map((l) => ({
      name: l.name,
      margin: tidy(l.margin),
      diameter_m: tidy(l.diameter),
      value: tidy(l.value),
      limit: tidy(l.limit),
      unit: l.unit,
    })),
  };
}

const dutyDocument = ({
  cycleTime,
  drives,
  shortestStop,
  shortestBrokenStop,
  stops,
}: LineDuty): DutyDocument => ({
  cycle_s: tidy(cycleTime),
  drives: drives.map((d) => ({
    name: d.name,
    rms_Nm: tidy(d.rms),
    rms_percent: tidy(100 * d.rmsFraction),
    peak_Nm: tidy(d.peak),
    drivingPower_W: tidy(d.drivingPower),
    brakingPower_W: tidy(d.brakingPower),
    brakingEnergy_J: tidy(d.brakingEnergy),
    highestSpeed_rad_per_s: tidy(d.highestSpeed),
    speedRange: tidy(d.speedRange),
    ...(d.loadRatio && { loadInertiaRatio: [tidy(d.loadRatio[0]), tidy(d.loadRatio[1])] as const }),
  })),
  ...(shortestStop && { shortestStop: { time_s: tidy(shortestStop.time), setBy: shortestStop.setBy } }),
  ...(shortestBrokenStop && {
    shortestBrokenStop: { time_s: tidy(shortestBrokenStop.time), setBy: shortestBrokenStop.setBy },
  }),
  stops: stops.map(({ kind, time, intact, energy }) => ({
    kind,
    time_s: tidy(time),
    sections: intact.sections.map((s, k) => ({
      name: s.name,
      torqueAtRoller_Nm: tidy(s.torque),
      margin_Nm: tidy(s.margin),
      absorbed_J: tidy(energy[k].stop.absorbed),
      peakPower_W: tidy(energy[k].stop.peakPower),
    })),
  })),
});

/** Every digit is kept, so that shares still add up to the tension. */
const rowDocument = (row: RollRow, motors: readonly MotorRow[]): ProgramRowDocument => ({
  diameter_m: row.diameter,
  length_m: row.length,
  tension_N_per_m: row.tension,
  ...(row.nip !== undefined && { nip_N_per_m: row.nip }),
  ...(row.torqueDifferential !== undefined && { torqueDifferential_N_per_m: row.torqueDifferential }),
  ...(row.share1 !== undefined && { share1_N_per_m: row.share1 }),
  ...(row.share2 !== undefined && { share2_N_per_m: row.share2 }),
  ...(row.woundOnTension !== undefined && { woundOnTension_N_per_m: row.woundOnTension }),
  ...(row.woundOnBounds !== undefined && {
    woundOnTensionRange_N_per_m: [tidy(row.woundOnBounds.lower), tidy(row.woundOnBounds.upper)] as const,
  }),
  ...(row.drumNip !== undefined && { drumNip_N_per_m: tidy(row.drumNip) }),
  motors: motors.map((m) => ({
    name: m.name,
    speed_rad_per_s: tidy(m.speed),
    torque_Nm: tidy(m.torque),
    ...(m.fraction !== undefined && { torque_percent: tidy(100 * m.fraction) }),
    ...(m.accelerating !== undefined && { accelerating_Nm: tidy(m.accelerating) }),
    ...(m.decelerating !== undefined && { decelerating_Nm: tidy(m.decelerating) }),
  })),
});
