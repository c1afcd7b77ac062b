import type {
  Acceleration,
  Inertia,
  Length,
  Mass,
  Ratio,
  Speed,
  Tension,
  TensionPerWidth,
  Time,
  Torque,
} from '../units/quantity.js';
import type { DragLaw } from './drag.js';
import type { Drive } from './drive.js';
import type { Point, Sense } from './path/circle.js';

/** What a section of the line is. The words are those of `kind:` in line.yaml. */
export const sectionKinds = [
  'unwind',
  'pull-roll',
  'idler',
  'driven-idler',
  'spreader',
  'dryer',
  'rider',
  'load-cell',
  'dancer',
  'accumulator',
  'drum',
  'winder',
] as const;
export type SectionKind = (typeof sectionKinds)[number];

export const winderTypes = ['centre', 'surface', 'centre-surface', 'two-drum'] as const;
export type WinderType = (typeof winderTypes)[number];

/** A value with what it rests on, in words that a report can print: "stated", "from shell dimensions", a file name. */
export interface Sourced {
  readonly value: number;
  readonly source: string;
  /** Half width of the 95 % interval; undefined for what was stated. */
  readonly halfWidth95?: number;
}

/** Bearings of one roller as far as drag formulas ask for them, SI. */
export interface Bearings {
  readonly count: number;
  readonly bore: Length;
  readonly outerDiameter: Length;
  /** Kinematic viscosity of the lubricant at running temperature [m²/s]. */
  readonly kinematicViscosity: number;
  /** Static load rating of one bearing [N]. */
  readonly staticRating?: Tension;
  readonly sealed: boolean;
}

/** What is known of the torque that opposes a roller's rotation, at the roller. Unknown is a state of its own, never zero. */
export type RollerDrag =
  | {
      readonly known: 'measured' | 'stated';
      readonly law: DragLaw;
      readonly source: string;
      readonly halfWidth95?: DragHalfWidth;
    }
  | { readonly known: 'estimated'; readonly bearings: Bearings }
  | { readonly known: 'unknown' };

/** Half width of the 95 % band of a drag torque over speed, both at the roller: rising speeds [rad/s], torques [N·m]. */
export interface DragHalfWidth {
  readonly speed: readonly number[];
  readonly torque: readonly number[];
}

/** What an identification measured, at the motor shaft: all that the shaft carries, gearbox and rotor with it. */
export interface MeasuredDrive {
  /** Name of the identification. */
  readonly source: string;
  readonly inertia?: Sourced;
  readonly drag?: DragLaw;
  readonly dragHalfWidth95?: DragHalfWidth;
  readonly breakaway?: Sourced;
}

/** The drive of a roller with what was measured on it. */
export interface RollerDrive {
  readonly drive: Drive;
  readonly measured?: MeasuredDrive;
}

/** One cylinder that carries web. What was not stated is undefined and never filled in. */
export interface Roller {
  /** Unique in the line: the section's name, with a word behind it where a section has several rollers. */
  readonly name: string;
  readonly centre?: Point;
  readonly radius?: Length;
  readonly sense?: Sense;
  readonly faceWidth?: Length;
  readonly mass?: Mass;
  /** Of the roller alone, without motor and gearbox, at the roller. */
  readonly inertia?: Sourced;
  readonly drag: RollerDrag;
  readonly breakaway?: Torque;
  /** Friction of web on this roller [1]; the product's value when left out. */
  readonly friction?: Ratio;
  readonly roughness?: Length;
  /** Grooves or vents lead the air film away. */
  readonly grooved: boolean;
  readonly drive?: RollerDrive;
}

interface SectionBase {
  readonly name: string;
  readonly kind: SectionKind;
  /** Where the section stands in the document, for messages: sections.3 */
  readonly pointer: string;
  /** Rollers that the web passes, in web order; the roll itself is among them at an unwind or winder. */
  readonly rollers: readonly Roller[];
  /** Tension per width that is held in the web behind this section; undefined where none is stated. */
  readonly tensionAfter?: TensionPerWidth;
}

/** A section without parts of its own beyond its rollers. */
export interface PlainSection extends SectionBase {
  readonly kind: Exclude<SectionKind, 'unwind' | 'winder' | 'pull-roll' | 'dancer' | 'accumulator'>;
}

export interface PullRoll extends SectionBase {
  readonly kind: 'pull-roll';
  readonly nip?: { readonly force: TensionPerWidth; readonly friction?: Ratio };
}

export interface Dancer extends SectionBase {
  readonly kind: 'dancer';
  /** Force that loads the dancer roller against the web, along the bisector of the wrap [N]. */
  readonly force?: Tension;
}

export interface Accumulator extends SectionBase {
  readonly kind: 'accumulator';
  /** Web strands between fixed rollers and carriage. */
  readonly strands: number;
  readonly carriageMass?: Mass;
  readonly carriageHeight: Length;
}

/** A roll that is unwound or wound; its radius changes, its inertia follows from web and core. */
export interface Unwind extends SectionBase {
  readonly kind: 'unwind';
  readonly coreRadius?: Length;
  readonly fullRadius?: Length;
  readonly coreInertia?: Inertia;
}

export interface Winder extends SectionBase {
  readonly kind: 'winder';
  readonly type: WinderType;
  readonly coreRadius?: Length;
  readonly fullRadius?: Length;
  readonly coreInertia?: Inertia;
  /** The roller that drives the roll's surface (surface, centre-surface), or the rear drum, over which the web comes (two-drum). */
  readonly drum?: Roller;
  readonly frontDrum?: Roller;
  /** Which of the two gives way when the roll grows. */
  readonly gives: 'roller' | 'roll';
}

export type Section = PlainSection | PullRoll | Dancer | Accumulator | Unwind | Winder;

/** Speeds and rates that the line is to run at. */
export interface LineSpeed {
  readonly top: Speed;
  readonly acceleration?: Acceleration;
  /** Magnitude of the deceleration of a normal stop. */
  readonly stop?: Acceleration;
  /** Time from top speed to rest of an emergency stop. */
  readonly emergencyStopTime?: Time;
  /** Time at rest between two rolls. */
  readonly standstill?: Time;
}

export interface Line {
  readonly name: string;
  readonly invented: boolean;
  readonly webWidth?: Length;
  readonly speed?: LineSpeed;
  /** In web order. */
  readonly sections: readonly Section[];
}

/** Every roller that the web passes, in web order. */
export const webRollers = (line: Line): readonly Roller[] => line.sections.flatMap((s) => s.rollers);

/** Every driven roller of the line with its section: drums of a winder that the web does not wrap are among them. */
export function* drivenRollers(
  line: Line,
): Generator<{ section: Section; roller: Roller; drive: RollerDrive }> {
  const seen = new Set<string>();
  for (const section of line.sections) {
    const own =
      section.kind === 'winder'
        ? [...section.rollers, section.drum, section.frontDrum].filter((r) => r !== undefined)
        : section.rollers;
    for (const roller of own) {
      if (roller.drive === undefined || seen.has(roller.name)) continue;
      seen.add(roller.name);
      yield { section, roller, drive: roller.drive };
    }
  }
}
