/**
 * The quantity table: the one place that knows which quantities there are, their symbols and SI units, and every unit in
 * which a person or a file may state them. Types, conversion, parsing, formatting, axis labels and the nomenclature in
 * docs/conventions.md follow from it.
 *
 * Spellings are compared after `squeeze` (parse.ts): superscripts as digits, and without spaces, middle dots, dots, hyphens,
 * carets and underscores, so that "kg·m²", "kg m^2" and "KG-M2" need no entry of their own.
 *
 * Length: one table, kept whole so that it can be read from top to bottom.
 */

declare const tag: unique symbol;
/**
 * A number of a quantity in SI. The tag is optional: literals and computed numbers pass without a cast, a value of another
 * quantity does not.
 */
export type Quantity<K extends QuantityKey> = number & { readonly [tag]?: K };

export type UnitSystem = 'si' | 'us';

export interface Unit {
  /** Suffix at the edges (files, JSON, command line), ASCII. */
  readonly id: string;
  /** As printed. */
  readonly label: string;
  /** SI value = value in this unit times this factor. */
  readonly factor: number;
  /** In which system a person expects to be offered it. */
  readonly system: UnitSystem | 'both';
  /** Other spellings that drives, controllers and historians write; case does not count. */
  readonly aliases: readonly string[];
  /**
   * Spellings whose case counts, since another case is another unit (mNm against MNm). Where there are some, case counts for id
   * and label too.
   */
  readonly exact?: readonly string[];
}

export interface QuantityEntry {
  readonly label: string;
  readonly symbol: string;
  /** The first is the SI unit. */
  readonly units: readonly [Unit, ...Unit[]];
  /** Unit shown by default in each system. */
  readonly display: { readonly si: string; readonly us: string };
}

// Exact by definition: international foot and pound (1959 agreement), standard gravity (3rd CGPM 1901). Every factor below
// follows from these and π by arithmetic, so it is as exact as a double holds it.
const inch = 0.0254;
const foot = 0.3048;
const yard = 0.9144;
const pound = 0.45359237;
const ounce = pound / 16;
const gravity = 9.80665;
const poundForce = pound * gravity; // 4.4482216152605 N
const ounceForce = ounce * gravity;
const poundFoot = poundForce * foot; // 1.3558179483314004 N·m
const poundInch = poundForce * inch;
const horsepower = 550 * poundFoot; // mechanical; 745.69987158227022 W
const minute = 60;
const turn = 2 * Math.PI;
const rpm = turn / minute;
const degree = Math.PI / 180;

/** One row of the table; spellings are separated by "|". */
function unit(
  system: Unit['system'],
  id: string,
  label: string,
  factor: number,
  aliases = '',
  exact = '',
): Unit {
  const list = (text: string): string[] => (text === '' ? [] : text.split('|'));
  const row = { id, label, factor, system, aliases: list(aliases) };
  return exact === '' ? row : { ...row, exact: list(exact) };
}
const si = unit.bind(null, 'si');
const us = unit.bind(null, 'us');
const both = unit.bind(null, 'both');

export const quantities = {
  time: {
    label: 'time',
    symbol: 't',
    units: [
      both('s', 's', 1, 'sec|secs|second|seconds|sek|sekunden'),
      both('ms', 'ms', 1e-3, 'msec|msecs|millisecond|milliseconds', 'ms|MS'),
      both('us', 'µs', 1e-6, 'usec|µsec|microsecond|microseconds'),
      both('ns', 'ns', 1e-9, 'nsec|nanosecond|nanoseconds'),
      both('min', 'min', minute, 'minute|minutes|mins'),
      both('h', 'h', 60 * minute, 'hr|hrs|hour|hours|std'),
    ],
    display: { si: 's', us: 's' },
  },
  angle: {
    label: 'angle',
    symbol: 'θ',
    units: [
      both('rad', 'rad', 1, 'radian|radians'),
      both('deg', '°', degree, 'degree|degrees|grad °'),
      both('rev', 'rev', turn, 'revs|revolution|revolutions|turn|turns|umdr|umdrehungen|tours', 'U'),
    ],
    display: { si: 'rad', us: 'rev' },
  },
  angularSpeed: {
    label: 'rotational speed',
    symbol: 'ω',
    units: [
      both('rad_per_s', 'rad/s', 1, 'rad s-1|rads'),
      both(
        'rpm',
        'rpm',
        rpm,
        '1/min|min-1|/min|u/min|r/min|rev/min|revs/min|turns/min|tr/min|tr/mn|upm|omw/min|obr/min|ot/min|varv/min',
      ),
      both('rev_per_s', 'rev/s', turn, 'rps|r/s|revs/s|turns/s|u/s|tr/s'),
      both('deg_per_s', '°/s', degree, 'deg/s|degree/s|degrees/s'),
    ],
    display: { si: 'rad_per_s', us: 'rpm' },
  },
  angularAcceleration: {
    label: 'rotational acceleration',
    symbol: 'α',
    units: [
      both('rad_per_s2', 'rad/s²', 1, 'rad s-2|rad/s/s'),
      both('rpm_per_s', 'rpm/s', rpm, '1/min/s|u/min/s|r/min/s|rev/min/s'),
      both('rev_per_s2', 'rev/s²', turn, 'r/s2|rev/s/s'),
    ],
    display: { si: 'rad_per_s2', us: 'rpm_per_s' },
  },
  length: {
    label: 'length',
    symbol: 'L',
    units: [
      si('m', 'm', 1, 'metre|meter|metres|meters'),
      si('mm', 'mm', 1e-3, 'millimetre|millimeter|millimetres|millimeters'),
      si('cm', 'cm', 1e-2, 'centimetre|centimeter'),
      us('in', 'in', inch, 'inch|inches|"|″|zoll'),
      us('ft', 'ft', foot, 'foot|feet'),
    ],
    display: { si: 'm', us: 'in' },
  },
  webLength: {
    label: 'web length',
    symbol: 'ℓ',
    units: [
      si('m', 'm', 1, 'metre|meter|metres|meters|lfm'),
      si('km', 'km', 1e3, ''),
      us('ft', 'ft', foot, 'foot|feet|lineal ft|lin ft'),
      us('yd', 'yd', yard, 'yard|yards'),
    ],
    display: { si: 'm', us: 'ft' },
  },
  caliper: {
    label: 'caliper',
    symbol: 'h',
    units: [
      si('m', 'm', 1),
      si('um', 'µm', 1e-6, 'micron|microns|micrometre|micrometer|mic'),
      si('mm', 'mm', 1e-3, '', 'mm|MM'),
      us('mil', 'mil', inch / 1000, 'mils|thou'),
      us('in', 'in', inch, 'inch|inches'),
    ],
    display: { si: 'um', us: 'mil' },
  },
  speed: {
    label: 'surface speed',
    symbol: 'v',
    units: [
      si('m_per_s', 'm/s', 1, 'm s-1|mps'),
      si(
        'm_per_min',
        'm/min',
        1 / minute,
        'm min-1|mpm|m/mn|mtr/min|metre/min|meter/min|metres/min|meters/min',
      ),
      si('mm_per_s', 'mm/s', 1e-3, 'mm s-1', 'mm/s|MM/S'),
      si('km_per_h', 'km/h', 1e3 / (60 * minute), 'kph|kmh'),
      us('fpm', 'fpm', foot / minute, 'ft/min|feet/min|foot/min|feet per minute|ft per minute'),
      us('ft_per_s', 'ft/s', foot, 'fps|feet/s'),
      us('in_per_s', 'in/s', inch, 'ips|inch/s|inches/s'),
      us('in_per_min', 'in/min', inch / minute, 'ipm|inch/min|inches/min'),
      us('yd_per_min', 'yd/min', yard / minute, 'ypm|yards/min'),
    ],
    display: { si: 'm_per_min', us: 'fpm' },
  },
  acceleration: {
    label: 'surface acceleration',
    symbol: 'a',
    units: [
      si('m_per_s2', 'm/s²', 1, 'm s-2|m/s/s'),
      si('m_per_min_per_s', 'm/min/s', 1 / minute, 'mpm/s|m/min s'),
      us('fpm_per_s', 'fpm/s', foot / minute, 'ft/min/s|feet/min/s'),
      us('ft_per_s2', 'ft/s²', foot, 'ft/s/s'),
    ],
    display: { si: 'm_per_s2', us: 'fpm_per_s' },
  },
  torque: {
    label: 'torque',
    symbol: 'T',
    units: [
      si('Nm', 'N·m', 1, 'newton metre|newton meter|newtonmetre|newtonmeter|newton metres|newton meters'),
      si('kNm', 'kN·m', 1e3),
      si('mNm', 'mN·m', 1e-3, '', 'mNm'),
      si('daNm', 'daN·m', 10),
      si('Ncm', 'N·cm', 1e-2),
      si('kgfm', 'kgf·m', gravity, 'kpm'),
      us(
        'lbft',
        'lb·ft',
        poundFoot,
        'ftlb|lbfft|ftlbf|ftlbs|lbsft|lb feet|foot pound|foot pounds|pound foot|pound feet',
      ),
      us(
        'lbin',
        'lb·in',
        poundInch,
        'inlb|lbfin|inlbf|inlbs|lbsin|inch pound|inch pounds|pound inch|pound inches',
      ),
      us('ozin', 'oz·in', ounceForce * inch, 'inoz|ozfin|inozf'),
    ],
    display: { si: 'Nm', us: 'lbft' },
  },
  torqueFraction: {
    label: 'torque as a share of rated',
    symbol: 'τ',
    units: [
      both('fraction', '1', 1, 'pu|per unit'),
      both(
        'percent',
        '%',
        0.01,
        'pct|prozent|% of rated|% rated|% rtd|% of rated torque|% rated torque|% of motor rated|% motor rated|% of nominal|% nominal|% nom|% nenn|% mn|% tn|% torque|% trq|percent of rated',
      ),
      both('permille', '‰', 0.001, '0.1%|0,1%'),
    ],
    display: { si: 'percent', us: 'percent' },
  },
  torqueRate: {
    label: 'torque rate',
    symbol: 'Ṫ',
    units: [si('Nm_per_s', 'N·m/s', 1), us('lbft_per_s', 'lb·ft/s', poundFoot, 'ftlb/s|lbfft/s')],
    display: { si: 'Nm_per_s', us: 'lbft_per_s' },
  },
  torqueConstant: {
    label: 'torque constant',
    symbol: 'kT',
    units: [
      si('Nm_per_A', 'N·m/A', 1, 'nm/arms'),
      us('lbft_per_A', 'lb·ft/A', poundFoot, 'ftlb/a|lbfft/a'),
      us('lbin_per_A', 'lb·in/A', poundInch, 'inlb/a|lbfin/a'),
    ],
    display: { si: 'Nm_per_A', us: 'lbft_per_A' },
  },
  current: {
    label: 'current',
    symbol: 'I',
    units: [
      both('A', 'A', 1, 'amp|amps|ampere|amperes|a rms|a eff|amps rms'),
      both('mA', 'mA', 1e-3, 'milliamp|milliamps', 'mA'),
      both('kA', 'kA', 1e3),
    ],
    display: { si: 'A', us: 'A' },
  },
  inertia: {
    label: 'inertia',
    symbol: 'J',
    units: [
      si('kgm2', 'kg·m²', 1),
      si('kgcm2', 'kg·cm²', 1e-4),
      si('gcm2', 'g·cm²', 1e-7),
      us('lbft2', 'lb·ft²', pound * foot ** 2, 'lbmft2|wk2|wr2|lb ft2 (wk2)'),
      us('lbin2', 'lb·in²', pound * inch ** 2, 'lbmin2'),
      // Motor data sheets: force times length times time squared, which is a mass times a length squared.
      us('lbfts2', 'lb·ft·s²', poundFoot, 'lbffts2|ftlbs2|ftlbfs2|slugft2'),
      us('lbins2', 'lb·in·s²', poundInch, 'lbfins2|inlbs2|inlbfs2'),
      us('ozins2', 'oz·in·s²', ounceForce * inch, 'ozfins2|inozs2'),
    ],
    display: { si: 'kgm2', us: 'lbft2' },
  },
  viscousDrag: {
    label: 'viscous drag coefficient',
    symbol: 'B',
    units: [
      si('Nms', 'N·m·s', 1, 'nms/rad|nm/(rad/s)'),
      si('Nm_per_rpm', 'N·m/rpm', 1 / rpm),
      us('lbft_per_rpm', 'lb·ft/rpm', poundFoot / rpm, 'lbfft/rpm|ftlb/rpm'),
    ],
    display: { si: 'Nms', us: 'lbft_per_rpm' },
  },
  quadraticDrag: {
    label: 'quadratic drag coefficient',
    symbol: 'K',
    units: [
      si('Nms2', 'N·m·s²', 1, 'nms2/rad2|nm/(rad/s)2'),
      us('lbft_per_rpm2', 'lb·ft/rpm²', poundFoot / rpm ** 2, 'lbfft/rpm2'),
    ],
    display: { si: 'Nms2', us: 'lbft_per_rpm2' },
  },
  tension: {
    label: 'web tension',
    symbol: 'T',
    units: [
      si('N', 'N', 1, 'newton|newtons'),
      si('daN', 'daN', 10),
      si('kN', 'kN', 1e3),
      si('kgf', 'kgf', gravity, 'kp'),
      us('lbf', 'lbf', poundForce, 'lb|lbs|lbsf|pound|pounds|pounds force'),
      us('ozf', 'ozf', ounceForce),
    ],
    display: { si: 'N', us: 'lbf' },
  },
  tensionPerWidth: {
    label: 'web tension per width',
    symbol: 'T/w',
    units: [
      si('N_per_m', 'N/m', 1, 'n m-1'),
      si('kN_per_m', 'kN/m', 1e3),
      si('N_per_cm', 'N/cm', 100),
      si('N_per_mm', 'N/mm', 1e3),
      si('kgf_per_m', 'kgf/m', gravity, 'kp/m'),
      us('pli', 'pli', poundForce / inch, 'lb/in|lbf/in|lbs/in|lb/inch'),
      us('lbf_per_ft', 'lbf/ft', poundForce / foot, 'plf|lb/ft'),
    ],
    display: { si: 'N_per_m', us: 'pli' },
  },
  mass: {
    label: 'mass',
    symbol: 'm',
    units: [
      si('kg', 'kg', 1, 'kilogram|kilograms'),
      si('g', 'g', 1e-3, 'gram|grams'),
      us('lb', 'lb', pound, 'lbs|lbm|pound|pounds'),
      us('oz', 'oz', ounce),
    ],
    display: { si: 'kg', us: 'lb' },
  },
  density: {
    label: 'density',
    symbol: 'ρ',
    units: [
      si('kgm3', 'kg/m³', 1, 'kg per m3|kg m-3'),
      si('gcm3', 'g/cm³', 1e3, 'g/cc'),
      us('lb_per_ft3', 'lb/ft³', pound / foot ** 3, 'pcf|lbm/ft3'),
      us('lb_per_in3', 'lb/in³', pound / inch ** 3, 'lbm/in3'),
    ],
    display: { si: 'kgm3', us: 'lb_per_ft3' },
  },
  basisWeight: {
    label: 'basis weight',
    symbol: 'q',
    units: [
      si('kg_per_m2', 'kg/m²', 1),
      si('g_per_m2', 'g/m²', 1e-3, 'gsm'),
      // The size of a ream differs by trade (3000, 3300, 1300 ft²), so a bare "lb/ream" is refused.
      us('lb_per_3000ft2', 'lb/3000 ft²', pound / (3000 * foot ** 2)),
      us('lb_per_1000ft2', 'lb/1000 ft²', pound / (1000 * foot ** 2), 'lb/msf'),
    ],
    display: { si: 'g_per_m2', us: 'lb_per_3000ft2' },
  },
  pressure: {
    label: 'pressure',
    symbol: 'P',
    units: [
      si('Pa', 'Pa', 1, 'pascal'),
      si('kPa', 'kPa', 1e3),
      si('MPa', 'MPa', 1e6, 'n/mm2', 'MPa|Mpa|MPA'),
      si('bar', 'bar', 1e5),
      us('psi', 'psi', poundForce / inch ** 2, 'lb/in2|lbf/in2'),
    ],
    display: { si: 'kPa', us: 'psi' },
  },
  modulus: {
    label: 'modulus of elasticity',
    symbol: 'E',
    units: [
      si('Pa', 'Pa', 1, 'pascal'),
      si('kPa', 'kPa', 1e3),
      si('MPa', 'MPa', 1e6, 'n/mm2', 'MPa|Mpa|MPA'),
      si('GPa', 'GPa', 1e9),
      us('psi', 'psi', poundForce / inch ** 2, 'lb/in2|lbf/in2'),
      us('ksi', 'ksi', (1000 * poundForce) / inch ** 2, 'kpsi'),
    ],
    display: { si: 'GPa', us: 'ksi' },
  },
  viscosity: {
    label: 'dynamic viscosity',
    symbol: 'μ',
    units: [si('Pas', 'Pa·s', 1), both('cP', 'cP', 1e-3, 'mpas|centipoise')],
    display: { si: 'Pas', us: 'cP' },
  },
  power: {
    label: 'power',
    symbol: 'P',
    units: [
      si('W', 'W', 1, 'watt|watts'),
      si('kW', 'kW', 1e3),
      si('MW', 'MW', 1e6, '', 'MW'),
      us('hp', 'hp', horsepower, 'horsepower'),
      si('PS', 'PS', 75 * gravity, 'metric hp|cv'),
    ],
    display: { si: 'kW', us: 'hp' },
  },
  energy: {
    label: 'energy',
    symbol: 'E',
    units: [
      si('J', 'J', 1, 'joule|joules|ws'),
      si('kJ', 'kJ', 1e3),
      si('kWh', 'kWh', 1e3 * 60 * minute),
      us('ftlb', 'ft·lbf', poundFoot, 'ftlb|lbfft'),
    ],
    display: { si: 'kJ', us: 'ftlb' },
  },
  temperatureDifference: {
    label: 'temperature difference',
    symbol: 'ΔT',
    units: [si('K', 'K', 1, 'kelvin'), us('degF_difference', '°F', 5 / 9, 'deltaf')],
    display: { si: 'K', us: 'degF_difference' },
  },
  frequency: {
    label: 'frequency',
    symbol: 'f',
    units: [both('Hz', 'Hz', 1, 'hertz|cps'), both('kHz', 'kHz', 1e3)],
    display: { si: 'Hz', us: 'Hz' },
  },
  ratio: {
    label: 'ratio',
    symbol: '',
    units: [both('ratio', '', 1, '1'), both('percent', '%', 0.01, 'pct'), both('permille', '‰', 1e-3)],
    display: { si: 'ratio', us: 'ratio' },
  },
} as const satisfies Record<string, QuantityEntry>;

export type QuantityKey = keyof typeof quantities;

export const quantityKeys = Object.keys(quantities) as QuantityKey[];

/** The entry of a quantity, with its units as a plain list. */
export const quantity = (key: QuantityKey): QuantityEntry => quantities[key];

/** The unit of a quantity by its id; undefined when it has none of that name. */
export const unitById = (key: QuantityKey, id: string): Unit | undefined =>
  quantity(key).units.find((u) => u.id === id);

/** The units that a person working in a system is offered, the default one first. */
export function unitsOffered(key: QuantityKey, system: UnitSystem): readonly Unit[] {
  const entry = quantity(key);
  const offered = entry.units.filter(
    (u) => u.system === system || u.system === 'both' || u.id === entry.display[system],
  );
  return offered.sort(
    (a, b) => Number(b.id === entry.display[system]) - Number(a.id === entry.display[system]),
  );
}

export type Time = Quantity<'time'>;
export type Angle = Quantity<'angle'>;
export type AngularSpeed = Quantity<'angularSpeed'>;
export type AngularAcceleration = Quantity<'angularAcceleration'>;
export type Length = Quantity<'length'>;
export type WebLength = Quantity<'webLength'>;
export type Caliper = Quantity<'caliper'>;
export type Speed = Quantity<'speed'>;
export type Acceleration = Quantity<'acceleration'>;
export type Torque = Quantity<'torque'>;
export type TorqueFraction = Quantity<'torqueFraction'>;
export type TorqueRate = Quantity<'torqueRate'>;
export type TorqueConstant = Quantity<'torqueConstant'>;
export type Current = Quantity<'current'>;
export type Inertia = Quantity<'inertia'>;
export type ViscousDrag = Quantity<'viscousDrag'>;
export type QuadraticDrag = Quantity<'quadraticDrag'>;
export type Tension = Quantity<'tension'>;
export type TensionPerWidth = Quantity<'tensionPerWidth'>;
export type Mass = Quantity<'mass'>;
export type Density = Quantity<'density'>;
export type BasisWeight = Quantity<'basisWeight'>;
export type Pressure = Quantity<'pressure'>;
export type Modulus = Quantity<'modulus'>;
export type Viscosity = Quantity<'viscosity'>;
export type Power = Quantity<'power'>;
export type Energy = Quantity<'energy'>;
export type TemperatureDifference = Quantity<'temperatureDifference'>;
export type Frequency = Quantity<'frequency'>;
export type Ratio = Quantity<'ratio'>;
