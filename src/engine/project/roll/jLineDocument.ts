import { TautlineError } from '../../errors.js';
import type { JLineInput } from '../../program/roll/rollInput.js';
import { shearModulusFromTorqueStep } from '../../roll/jLine/elasticHook.js';
import type { JsonSchema } from '../jsonSchema.js';
import { numbers, object, positive } from '../properties.js';

/** Radial lines struck on the side of a roll while it is wound, as a roll document states them. */
export interface JLineDocument {
  readonly struck_at_diameters_m: readonly number[];
  readonly shear_modulus_Pa?: number;
  readonly shear_share?: number;
  readonly torque_step?: {
    readonly torque_change_Nm: number;
    readonly outer_diameter_m: number;
    readonly at_diameter_m: number;
    readonly shift_m: number;
  };
}

export const jLineSchema: JsonSchema = object(
  'radial lines struck on the side of the roll while it is wound, and one statement of the shear modulus of the stack',
  {
    struck_at_diameters_m: {
      ...numbers('length', 'diameters of the roll at which a line was struck', {
        type: 'number',
        exclusiveMinimum: 0,
      }),
      minItems: 1,
    },
    shear_modulus_Pa: positive('modulus', 'shear modulus, the same throughout'),
    shear_share: positive(undefined, 'shear modulus over radial modulus, which follows the pressure'),
    torque_step: object(
      'shear modulus from one torque step at the core while the outside is held',
      {
        torque_change_Nm: positive('torque', 'change of the torque'),
        outer_diameter_m: positive('length', 'diameter of the roll'),
        at_diameter_m: positive('length', 'where the shift of a line was read'),
        shift_m: positive('length', 'shift along the circumference against the outermost lap'),
      },
      ['torque_change_Nm', 'outer_diameter_m', 'at_diameter_m', 'shift_m'],
    ),
  },
  ['struck_at_diameters_m'],
);

const problem = (pointer: string, message: string, next: string): TautlineError =>
  new TautlineError('document_value', { pointer }, message, next);

/** Lines on the side of a roll; diameters of core and full roll and width [m]. @throws TautlineError document_value with the pointer to its place */
export function toJLine(stated: JLineDocument, core: number, full: number, width: number): JLineInput {
  stated.struck_at_diameters_m.forEach((d, k) => {
    if (d > core && d < full) return;
    throw problem(
      `j_line.struck_at_diameters_m.${k}`,
      `a line struck at a diameter of ${d} m is not on the way from the core, ${core} m, to the full roll, ${full} m`,
      'state diameters between the two',
    );
  });
  return { struckAt: stated.struck_at_diameters_m, shear: toShear(stated, width) };
}

function toShear(
  { shear_modulus_Pa: modulus, shear_share: share, torque_step: step }: JLineDocument,
  width: number,
): JLineInput['shear'] {
  const ways = [modulus, share, step].filter((x) => x !== undefined).length;
  if (ways > 1)
    throw problem(
      'j_line',
      'the shear modulus of the stack is stated in more ways than one',
      'state one of shear_modulus_Pa, shear_share and torque_step',
    );
  if (modulus !== undefined) return { modulus };
  if (share !== undefined) return { shareOfRadial: share };
  if (step === undefined)
    throw problem(
      'j_line',
      'the shear modulus of the stack is not stated',
      'state one of shear_modulus_Pa, shear_share and torque_step',
    );
  const [inner, outer] = [step.at_diameter_m / 2, step.outer_diameter_m / 2];
  if (!(inner < outer))
    throw problem(
      'j_line.torque_step.at_diameter_m',
      `the shift was read at ${step.at_diameter_m} m, not inside the roll of ${step.outer_diameter_m} m`,
      'state where on the side of the roll the shift was read',
    );
  return { modulus: shearModulusFromTorqueStep(step.torque_change_Nm, width, inner, outer, step.shift_m) };
}
