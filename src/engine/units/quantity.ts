/**
 * The quantity table: the one place that knows which quantities there are, their symbols and SI units, and every unit in
 * which a person or a file may state them. Types, conversion, parsing, formatting, axis labels and the nomenclature in
 * docs/conventions.md follow from it.
 *
 * Length: one table, kept whole so that it can be read from top to bottom.
 */

declare const unit: unique symbol;
/** A number of a quantity in SI. The tag is optional: literals and computed numbers pass, another quantity does not. */
export type Quantity<U extends string> = number & { readonly [unit]?: U };

export type Time = Quantity<'s'>;
export type Angle = Quantity<'rad'>;
export type AngularSpeed = Quantity<'rad/s'>;
export type AngularAcceleration = Quantity<'rad/s²'>;
export type Length = Quantity<'m'>;
export type Speed = Quantity<'m/s'>;
export type Acceleration = Quantity<'m/s²'>;
export type Torque = Quantity<'N·m'>;
export type Inertia = Quantity<'kg·m²'>;
export type Tension = Quantity<'N'>;
export type TensionPerWidth = Quantity<'N/m'>;
export type Mass = Quantity<'kg'>;
export type Density = Quantity<'kg/m³'>;
export type Pressure = Quantity<'Pa'>;
export type Power = Quantity<'W'>;
export type Energy = Quantity<'J'>;

export type UnitSystem = 'si' | 'us';

export interface Unit {
  /** Suffix at the edges (files, JSON, command line), ASCII. */
  readonly id: string;
  /** As printed. */
  readonly label: string;
  /** SI value = value in this unit times this factor. */
  readonly factor: number;
  /** Other spellings that drives, controllers and historians write; compared without case unless listed in `exact`. */
  readonly aliases?: readonly string[];
  /** Spellings that count only with this case, since another case means another unit. */
  readonly exact?: readonly string[];
}

export interface QuantityEntry {
  readonly label: string;
  readonly symbol: string;
  readonly units: readonly [Unit, ...Unit[]];
  /** Unit shown by default in each system; the first unit of the list is the SI one. */
  readonly display: { readonly si: string; readonly us: string };
}

// Exact by definition: the international inch, the avoirdupois pound, standard gravity, the mechanical horsepower.
const inch = 0.0254;
const foot = 12 * inch;
const pound = 0.45359237;
const gravity = 9.80665;
const poundForce = pound * gravity;
const rpm = (2 * Math.PI) / 60;

export const quantities = {
  time: {
    label: 'time',
    symbol: 't',
    units: [
      { id: 's', label: 's', factor: 1, aliases: ['sec', 'secs', 'second', 'seconds', 'sek'] },
      {
        id: 'ms',
        label: 'ms',
        factor: 1e-3,
        aliases: ['msec', 'millisecond', 'milliseconds'],
        exact: ['ms'],
      },
      { id: 'us', label: 'µs', factor: 1e-6, aliases: ['µs', 'μs', 'usec', 'microseconds'] },
      { id: 'ns', label: 'ns', factor: 1e-9, aliases: ['nanoseconds'] },
      { id: 'min', label: 'min', factor: 60, aliases: ['minute', 'minutes'] },
      { id: 'h', label: 'h', factor: 3600, aliases: ['hr', 'hour', 'hours'] },
    ],
    display: { si: 's', us: 's' },
  },
  angle: {
    label: 'angle',
    symbol: 'θ',
    units: [
      { id: 'rad', label: 'rad', factor: 1, aliases: ['radian', 'radians'] },
      { id: 'deg', label: '°', factor: Math.PI / 180, aliases: ['°', 'degree', 'degrees'] },
      {
        id: 'rev',
        label: 'rev',
        factor: 2 * Math.PI,
        aliases: ['revs', 'revolutions', 'turn', 'turns', 'umdr', 'u'],
      },
    ],
    display: { si: 'rad', us: 'rev' },
  },
  angularSpeed: {
    label: 'rotational speed',
    symbol: 'ω',
    units: [
      { id: 'rad_per_s', label: 'rad/s', factor: 1, aliases: ['rad s-1', 'rad·s⁻¹', 'rad*s^-1'] },
      {
        id: 'rpm',
        label: 'rpm',
        factor: rpm,
        aliases: [
          '1/min',
          'min-1',
          'min^-1',
          'min⁻¹',
          'u/min',
          'r/min',
          'rev/min',
          'revs/min',
          'tr/min',
          'upm',
          '/min',
        ],
      },
      { id: 'rev_per_s', label: 'rev/s', factor: 2 * Math.PI, aliases: ['rps', 'r/s', 'revs/s', 'u/s'] },
      { id: 'deg_per_s', label: '°/s', factor: Math.PI / 180, aliases: ['deg/s', 'degrees/s', '°/sec'] },
    ],
    display: { si: 'rad_per_s', us: 'rpm' },
  },
  angularAcceleration: {
    label: 'rotational acceleration',
    symbol: 'α',
    units: [
      { id: 'rad_per_s2', label: 'rad/s²', factor: 1, aliases: ['rad/s2', 'rad/s^2'] },
      { id: 'rpm_per_s', label: 'rpm/s', factor: rpm },
    ],
    display: { si: 'rad_per_s2', us: 'rpm_per_s' },
  },
  speed: {
    label: 'surface speed',
    symbol: 'v',
    units: [
      { id: 'm_per_s', label: 'm/s', factor: 1, aliases: ['m s-1', 'm·s⁻¹', 'm/sec', 'mps'] },
      { id: 'm_per_min', label: 'm/min', factor: 1 / 60, aliases: ['m min-1', 'm·min⁻¹', 'mpm', 'mtr/min'] },
      { id: 'mm_per_s', label: 'mm/s', factor: 1e-3 },
      {
        id: 'fpm',
        label: 'fpm',
        factor: foot / 60,
        aliases: ['ft/min', 'ft./min', 'feet/min', 'feet per minute'],
      },
      { id: 'ft_per_s', label: 'ft/s', factor: foot, aliases: ['fps', 'feet/s'] },
      { id: 'in_per_s', label: 'in/s', factor: inch, aliases: ['ips'] },
      { id: 'km_per_h', label: 'km/h', factor: 1 / 3.6, aliases: ['kph'] },
    ],
    display: { si: 'm_per_min', us: 'fpm' },
  },
  acceleration: {
    label: 'surface acceleration',
    symbol: 'a',
    units: [
      { id: 'm_per_s2', label: 'm/s²', factor: 1, aliases: ['m/s2', 'm/s^2'] },
      { id: 'm_per_min_per_s', label: 'm/min/s', factor: 1 / 60 },
      { id: 'fpm_per_s', label: 'fpm/s', factor: foot / 60, aliases: ['ft/min/s'] },
      { id: 'ft_per_s2', label: 'ft/s²', factor: foot, aliases: ['ft/s2', 'ft/s^2'] },
    ],
    display: { si: 'm_per_s2', us: 'fpm_per_s' },
  },
  torque: {
    label: 'torque',
    symbol: 'T',
    units: [
      {
        id: 'Nm',
        label: 'N·m',
        factor: 1,
        aliases: ['nm', 'n.m', 'n·m', 'n-m', 'n m', 'n*m', 'newton metre', 'newton meter'],
      },
      { id: 'kNm', label: 'kN·m', factor: 1e3, aliases: ['kn.m', 'kn·m', 'kn m', 'kn*m'] },
      { id: 'mNm', label: 'mN·m', factor: 1e-3, exact: ['mNm', 'mN·m', 'mN.m', 'mN m'] },
      { id: 'Ncm', label: 'N·cm', factor: 1e-2, aliases: ['n.cm', 'n·cm', 'n cm'] },
      {
        id: 'lbft',
        label: 'lb·ft',
        factor: poundForce * foot,
        aliases: [
          'lb-ft',
          'lb.ft',
          'lb ft',
          'lbf-ft',
          'lbf·ft',
          'lbf.ft',
          'lbf ft',
          'lbfft',
          'ft-lb',
          'ft.lb',
          'ft·lb',
          'ft lb',
          'ft-lbs',
          'ft lbs',
          'lb-feet',
          'ft-lbf',
          'ft·lbf',
          'ft lbf',
          'lbs-ft',
          'foot-pounds',
          'foot pounds',
        ],
      },
      {
        id: 'lbin',
        label: 'lb·in',
        factor: poundForce * inch,
        aliases: [
          'lb-in',
          'lb.in',
          'lb in',
          'lbf-in',
          'lbf·in',
          'lbf.in',
          'lbf in',
          'lbfin',
          'in-lb',
          'in.lb',
          'in·lb',
          'in lb',
          'in-lbs',
          'in lbs',
          'in-lbf',
          'in·lbf',
          'in lbf',
          'lbs-in',
          'inch-pounds',
        ],
      },
    ],
    display: { si: 'Nm', us: 'lbft' },
  },
  torqueFraction: {
    label: 'torque as a share of rated',
    symbol: 'τ',
    units: [
      { id: 'fraction', label: '1', factor: 1, aliases: ['p.u.', 'pu', 'per unit'] },
      {
        id: 'percent',
        label: '%',
        factor: 0.01,
        aliases: [
          '%',
          'pct',
          '% of rated',
          '% rated',
          '%rated',
          '% rtd',
          '% mn',
          '% m_n',
          '% nom',
          '% of nominal',
          '% nominal',
          '% nenn',
          '% tn',
          '% trq',
          '% torque',
          'percent of rated',
          '% of motor rated',
          '% motor rated',
          'prozent',
        ],
      },
      { id: 'permille', label: '‰', factor: 0.001, aliases: ['‰', '0.1%', '0.1 %', '0,1 %'] },
    ],
    display: { si: 'percent', us: 'percent' },
  },
  current: {
    label: 'current',
    symbol: 'I',
    units: [
      {
        id: 'A',
        label: 'A',
        factor: 1,
        aliases: ['amp', 'amps', 'ampere', 'a rms', 'arms', 'a_rms', 'a eff'],
      },
      { id: 'mA', label: 'mA', factor: 1e-3, exact: ['mA'] },
      { id: 'kA', label: 'kA', factor: 1e3, exact: ['kA'] },
    ],
    display: { si: 'A', us: 'A' },
  },
  inertia: {
    label: 'inertia',
    symbol: 'J',
    units: [
      {
        id: 'kgm2',
        label: 'kg·m²',
        factor: 1,
        aliases: ['kg m2', 'kg.m2', 'kg·m2', 'kg m^2', 'kg*m^2', 'kgm²', 'kg m²'],
      },
      { id: 'kgcm2', label: 'kg·cm²', factor: 1e-4, aliases: ['kg cm2', 'kg·cm2', 'kgcm²', 'kg cm²'] },
      {
        id: 'lbft2',
        label: 'lb·ft²',
        factor: pound * foot * foot,
        aliases: ['lb ft2', 'lb-ft2', 'lb.ft2', 'lb-ft^2', 'lbft²', 'lb·ft2', 'lb ft²', 'wk2', 'wk²'],
      },
      {
        id: 'lbin2',
        label: 'lb·in²',
        factor: pound * inch * inch,
        aliases: ['lb in2', 'lb-in2', 'lb-in^2', 'lb·in2', 'lb in²'],
      },
    ],
    display: { si: 'kgm2', us: 'lbft2' },
  },
  viscousDrag: {
    label: 'viscous drag coefficient',
    symbol: 'B',
    units: [
      { id: 'Nms', label: 'N·m·s', factor: 1, aliases: ['nm s', 'n·m·s/rad', 'nm/(rad/s)'] },
      { id: 'lbft_per_rpm', label: 'lb·ft/rpm', factor: (poundForce * foot) / rpm },
    ],
    display: { si: 'Nms', us: 'lbft_per_rpm' },
  },
  quadraticDrag: {
    label: 'quadratic drag coefficient',
    symbol: 'K',
    units: [
      { id: 'Nms2', label: 'N·m·s²', factor: 1, aliases: ['nm s2', 'n·m·s²/rad²'] },
      { id: 'lbft_per_rpm2', label: 'lb·ft/rpm²', factor: (poundForce * foot) / (rpm * rpm) },
    ],
    display: { si: 'Nms2', us: 'lbft_per_rpm2' },
  },
  torqueRate: {
    label: 'torque rate',
    symbol: 'Ṫ',
    units: [
      { id: 'Nm_per_s', label: 'N·m/s', factor: 1 },
      { id: 'lbft_per_s', label: 'lb·ft/s', factor: poundForce * foot },
    ],
    display: { si: 'Nm_per_s', us: 'lbft_per_s' },
  },
  torqueConstant: {
    label: 'torque constant',
    symbol: 'kT',
    units: [
      { id: 'Nm_per_A', label: 'N·m/A', factor: 1, aliases: ['nm/a'] },
      { id: 'lbft_per_A', label: 'lb·ft/A', factor: poundForce * foot },
    ],
    display: { si: 'Nm_per_A', us: 'lbft_per_A' },
  },
  tension: {
    label: 'web tension',
    symbol: 'T',
    units: [
      { id: 'N', label: 'N', factor: 1, aliases: ['newton', 'newtons'], exact: ['N'] },
      { id: 'daN', label: 'daN', factor: 10 },
      { id: 'kN', label: 'kN', factor: 1e3 },
      { id: 'lbf', label: 'lbf', factor: poundForce, aliases: ['lb', 'lbs', 'pound', 'pounds'] },
      { id: 'kgf', label: 'kgf', factor: gravity, aliases: ['kp'] },
    ],
    display: { si: 'N', us: 'lbf' },
  },
  tensionPerWidth: {
    label: 'web tension per width',
    symbol: 'T/w',
    units: [
      { id: 'N_per_m', label: 'N/m', factor: 1, aliases: ['n m-1'] },
      { id: 'kN_per_m', label: 'kN/m', factor: 1e3 },
      { id: 'N_per_cm', label: 'N/cm', factor: 100 },
      { id: 'N_per_mm', label: 'N/mm', factor: 1e3 },
      { id: 'pli', label: 'pli', factor: poundForce / inch, aliases: ['lb/in', 'lbf/in', 'lbs/in'] },
    ],
    display: { si: 'N_per_m', us: 'pli' },
  },
  length: {
    label: 'length',
    symbol: 'L',
    units: [
      { id: 'm', label: 'm', factor: 1, aliases: ['metre', 'meter', 'metres', 'meters'] },
      { id: 'mm', label: 'mm', factor: 1e-3 },
      { id: 'cm', label: 'cm', factor: 1e-2 },
      { id: 'in', label: 'in', factor: inch, aliases: ['inch', 'inches', '"', 'zoll'] },
      { id: 'ft', label: 'ft', factor: foot, aliases: ['feet', 'foot'] },
    ],
    display: { si: 'm', us: 'in' },
  },
  caliper: {
    label: 'caliper',
    symbol: 'h',
    units: [
      { id: 'm', label: 'm', factor: 1 },
      { id: 'um', label: 'µm', factor: 1e-6, aliases: ['µm', 'μm', 'micron', 'microns', 'mic'] },
      { id: 'mm', label: 'mm', factor: 1e-3 },
      { id: 'mil', label: 'mil', factor: inch / 1000, aliases: ['mils', 'thou'] },
    ],
    display: { si: 'um', us: 'mil' },
  },
  mass: {
    label: 'mass',
    symbol: 'm',
    units: [
      { id: 'kg', label: 'kg', factor: 1 },
      { id: 'lb', label: 'lb', factor: pound, aliases: ['lbs', 'lbm'] },
    ],
    display: { si: 'kg', us: 'lb' },
  },
  density: {
    label: 'density',
    symbol: 'ρ',
    units: [
      { id: 'kg_per_m3', label: 'kg/m³', factor: 1, aliases: ['kg/m3', 'kg/m^3'] },
      { id: 'lb_per_ft3', label: 'lb/ft³', factor: pound / foot ** 3, aliases: ['lb/ft3', 'pcf'] },
    ],
    display: { si: 'kg_per_m3', us: 'lb_per_ft3' },
  },
  pressure: {
    label: 'pressure',
    symbol: 'P',
    units: [
      { id: 'Pa', label: 'Pa', factor: 1 },
      { id: 'kPa', label: 'kPa', factor: 1e3 },
      { id: 'MPa', label: 'MPa', factor: 1e6 },
      { id: 'bar', label: 'bar', factor: 1e5 },
      { id: 'psi', label: 'psi', factor: poundForce / (inch * inch) },
    ],
    display: { si: 'kPa', us: 'psi' },
  },
  power: {
    label: 'power',
    symbol: 'P',
    units: [
      { id: 'W', label: 'W', factor: 1 },
      { id: 'kW', label: 'kW', factor: 1e3 },
      { id: 'hp', label: 'hp', factor: 550 * poundForce * foot },
    ],
    display: { si: 'kW', us: 'hp' },
  },
  energy: {
    label: 'energy',
    symbol: 'E',
    units: [
      { id: 'J', label: 'J', factor: 1 },
      { id: 'kJ', label: 'kJ', factor: 1e3 },
      { id: 'ftlb', label: 'ft·lbf', factor: poundForce * foot },
    ],
    display: { si: 'kJ', us: 'ftlb' },
  },
  frequency: {
    label: 'frequency',
    symbol: 'f',
    units: [
      { id: 'Hz', label: 'Hz', factor: 1, aliases: ['hertz'] },
      { id: 'kHz', label: 'kHz', factor: 1e3 },
    ],
    display: { si: 'Hz', us: 'Hz' },
  },
  ratio: {
    label: 'ratio',
    symbol: '',
    units: [
      { id: 'ratio', label: '', factor: 1 },
      { id: 'percent', label: '%', factor: 0.01, aliases: ['%'] },
    ],
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
