import type { Finding, FindingCode, Severity } from '../../findings.js';
import { lawBreaksAt, type StackModulus } from '../../roll/stress/stackModulus.js';
import { formatQuantity } from '../../units/format.js';
import type { Pressure, QuantityKey, Ratio, TensionPerWidth, UnitSystem } from '../../units/quantity.js';
import type { RollInput } from './rollInput.js';

/** A wound roll as its plausibility is judged. */
export interface WoundForFindings {
  readonly pressure: Float64Array;
  readonly woundOn: Float64Array;
  readonly stack: StackModulus;
  /** Largest tension of the web that arrives, per width. */
  readonly webTension: TensionPerWidth;
}

/** Bounds outside of which a value most likely stands in the wrong unit; ours, wider than any web or roll we know of. */
const plausible = {
  webStrain: 0.05,
  leastWebStrain: 1e-6,
  modulus: [1e5, 1.1e12],
  caliper: 5e-3,
  rollRadius: 3,
  density: [10, 23_000],
  coreStrain: 0.02,
} as const;
/** Share of the pressure that a matched core would have, below which a core counts as too soft: (g − c)/(g + c) = −0.5. */
const softCore = -0.5;

/** What the prediction of a roll says about its own input: values in a wrong unit, a law outside its test, a web or core asked for too much. */
export function rollFindings(input: RollInput, wound: WoundForFindings, units: UnitSystem): Finding[] {
  const findings: Finding[] = [];
  const add: Add = (code, severity, pointer, message, next) => {
    findings.push({ code, severity, message, where: { pointer }, next });
  };
  const show: Show = (x, quantity) => formatQuantity(x, quantity, units);
  const largest = wound.pressure.reduce((a, b) => Math.max(a, b), 0);
  judgeValues(input, show, add);
  judgeTension(input, wound, show, add);
  judgeStack(input, wound.stack, largest, show, add);
  judgeCore(input, wound, show, add);
  return findings;
}

type Add = (code: FindingCode, severity: Severity, pointer: string, message: string, next: string) => void;
type Show = (x: number, quantity: QuantityKey) => string;
const percent = (x: Ratio): string => `${(100 * x).toPrecision(3)} %`;

function judgeValues({ web, core, laps }: RollInput, show: Show, add: Add): void {
  const implausible = (pointer: string, what: string): void =>
    add('value_implausible', 'warn', pointer, what, 'check its unit; the key of the document names it');
  const radius = core.outerRadius + laps * web.caliper;
  if (web.caliper > plausible.caliper)
    implausible('web.caliper_m', `a caliper of ${show(web.caliper, 'caliper')} is thick for a web`);
  if (radius > plausible.rollRadius)
    implausible(
      'web.caliper_m',
      `${laps} laps of ${show(web.caliper, 'caliper')} make a roll of ${show(2 * radius, 'length')} diameter`,
    );
  const [softest, stiffest] = plausible.modulus;
  if (!(web.modulus >= softest && web.modulus <= stiffest))
    implausible(
      'web.modulus_Pa',
      `a modulus of ${show(web.modulus, 'modulus')} along the web is that of no web`,
    );
  const [lightest, heaviest] = plausible.density;
  if (web.density !== undefined && !(web.density >= lightest && web.density <= heaviest))
    implausible('web.density_kgm3', `a density of ${show(web.density, 'density')} is that of no web`);
}

function judgeTension({ web }: RollInput, wound: WoundForFindings, show: Show, add: Add): void {
  const woundOn = wound.woundOn.reduce((a, b) => Math.max(a, b), 0);
  const least = wound.woundOn.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY);
  if (!(least > 0))
    add(
      'wound_on_lost',
      'refuse',
      'wind',
      woundOn > 0
        ? 'some laps are wound without tension: schedule, nip and centrifugal force leave none'
        : 'no lap is wound with tension: neither the core’s torque nor a nip gives any',
      'state tension and nip so that every lap is wound with tension; a surface winder winds by its nip',
    );
  const strain = Math.max(woundOn, wound.webTension) / (web.modulus * web.caliper);
  if (strain > plausible.webStrain)
    add(
      'web_strain_implausible',
      'warn',
      'web.caliper_m',
      `the tension strains the web by ${percent(strain)}: caliper, modulus or tension is most likely in the wrong unit`,
      'check caliper, modulus and tension; the caliper of one lap, not of the stack',
    );
  else if (strain < plausible.leastWebStrain && woundOn > 0)
    add(
      'web_strain_implausible',
      'warn',
      'wind.tension',
      `the tension strains the web by ${percent(strain)} only: caliper, modulus or tension is most likely in the wrong unit`,
      'check caliper, modulus and tension',
    );
  const most = Math.max(woundOn, wound.webTension);
  if (web.strength !== undefined && most > web.strength)
    add(
      'tension_above_strength',
      'refuse',
      'wind.tension',
      `the ${woundOn >= wound.webTension ? 'wound-on' : 'web'} tension reaches ${show(most, 'tensionPerWidth')}, above the web’s strength of ${show(web.strength, 'tensionPerWidth')}`,
      'lower tension or nip',
    );
}

function judgeStack({ web }: RollInput, stack: StackModulus, largest: Pressure, show: Show, add: Add): void {
  const breaks = lawBreaksAt(stack, largest);
  if (breaks !== undefined)
    add(
      'stack_law_breaks',
      'refuse',
      'web.stack',
      `the stack law falls or ends at ${show(breaks, 'pressure')}, and the roll reaches ${show(largest, 'pressure')}`,
      'fit the law over the pressures that the roll reaches',
    );
  const { law, testedTo } = web.stack;
  if (testedTo !== undefined && largest > testedTo)
    add(
      'stack_law_extrapolated',
      law === 'polynomial' ? 'refuse' : 'warn',
      'web.stack',
      `the roll reaches ${show(largest, 'pressure')}, and the stack was tested up to ${show(testedTo, 'pressure')}`,
      'test a stack over the pressures that the roll reaches',
    );
  else if (testedTo === undefined && law === 'polynomial' && breaks === undefined)
    add(
      'stack_law_extrapolated',
      'info',
      'web.stack',
      'a polynomial says nothing beyond the pressures of its test, and they are not stated',
      'state tested_to_Pa',
    );
  if (stack.at(largest) > web.modulus)
    add(
      'value_implausible',
      'warn',
      'web.stack',
      `at ${show(largest, 'pressure')} the stack is stiffer (${show(stack.at(largest), 'modulus')}) than the web along its length (${show(web.modulus, 'modulus')})`,
      'check the units of the stack law and of the modulus',
    );
  const strain = stack.strain(largest);
  if (strain > 0.05)
    add(
      'large_deformation',
      'warn',
      'web.stack',
      `the stack is compressed by ${percent(strain)}: large-deformation regime, pressures are over-predicted`,
      'use the result for comparing schedules only',
    );
  else if (strain > 0.02)
    add(
      'large_deformation',
      'info',
      'web.stack',
      `the stack is compressed by ${percent(strain)}, at the edge of the model of small strain`,
      'take pressures as an upper bound',
    );
}

function judgeCore({ web, core }: RollInput, wound: WoundForFindings, show: Show, add: Add): void {
  const atCore = wound.pressure[0] as number;
  const strain = atCore / core.stiffness;
  // g and c of docs/models/wound-roll.md at the core: below −0.5 the core bears less than a third of what one as stiff as the stack would.
  const g = Math.sqrt(web.modulus / wound.stack.at(atCore));
  const c = web.modulus / core.stiffness + (web.poisson ?? 0);
  const gives = (g - c) / (g + c);
  if (strain > plausible.coreStrain)
    add(
      'core_too_soft',
      'refuse',
      'core',
      `the core gives way by ${percent(strain)} under ${show(atCore, 'pressure')}: it does not bear this roll`,
      'check the stiffness of the core and its unit, or wind on a stiffer core',
    );
  else if (gives < softCore)
    add(
      'core_too_soft',
      'warn',
      'core',
      'the core gives way more than the layers do, so pressure falls towards it and the innermost laps are compressed along their length',
      'check the stiffness of the core and its unit, or wind on a stiffer core',
    );
}
