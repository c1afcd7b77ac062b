import type { Element } from '../../../engine/line/drive.js';
import type { DriveDocument } from '../../../engine/project/drive.js';
import type { QuantityKey } from '../../../engine/units/quantity.js';

/** What a form of a new drive asks for besides its name, in SI. */
export const nameplateFields = [
  { key: 'rated_torque_Nm', label: 'Rated motor torque', quantity: 'torque' },
  { key: 'torque_constant_Nm_per_A', label: 'Torque constant', quantity: 'torqueConstant' },
  { key: 'gear_ratio', label: 'Gear ratio, motor to roller', quantity: undefined },
  { key: 'roller_diameter_m', label: 'Roller diameter', quantity: 'length' },
  { key: 'core_diameter_m', label: 'Core diameter', quantity: 'length' },
  { key: 'max_motor_speed_rad_per_s', label: 'Highest motor speed', quantity: 'angularSpeed' },
  { key: 'motor_inertia_kgm2', label: 'Motor inertia', quantity: 'inertia' },
  { key: 'torque_limit_percent', label: 'Torque limit, % of rated', quantity: undefined },
] as const satisfies readonly {
  key: keyof DriveDocument;
  label: string;
  quantity: QuantityKey | undefined;
}[];
export type NameplateKey = (typeof nameplateFields)[number]['key'];

export interface NewDriveValues {
  /** Name of the file without ending, and what the plant calls the drive. */
  readonly file: string;
  readonly name: string;
  readonly element: Element;
  readonly nameplate: Partial<Record<NameplateKey, number>>;
}

/** Elements that wind or unwind have a core, the others a roller. */
export const hasCore = (element: Element): boolean => element === 'winder' || element === 'unwind';

/** The fields that an element has. */
export const fieldsOf = (element: Element): readonly (typeof nameplateFields)[number][] =>
  nameplateFields.filter((f) => f.key !== (hasCore(element) ? 'roller_diameter_m' : 'core_diameter_m'));

/** Why this may not be the name of a drive file, or undefined. */
export function refuseName(file: string, names: readonly string[]): string | undefined {
  if (file === '') return 'a drive needs a name';
  if (!/^[A-Za-z0-9][A-Za-z0-9_-]{0,59}$/.test(file))
    return 'letters, digits, hyphens and underscores, at most 60';
  return names.some((n) => n.toLowerCase() === file.toLowerCase())
    ? 'there is such a drive already'
    : undefined;
}

/** The text of the drive file. What was not stated is left out: nothing is filled in. */
export function driveText({ name, element, nameplate }: NewDriveValues): string {
  const lines = fieldsOf(element).flatMap(({ key }) => {
    const value = nameplate[key];
    return value === undefined ? [] : [`${key}: ${Number(value.toPrecision(12))}`];
  });
  // a JSON string is a YAML string
  return [
    'schema: tautline/drive@1',
    `name: ${JSON.stringify(name)}`,
    `element: ${element}`,
    ...lines,
    '',
  ].join('\n');
}
