import type { PeakAndRms, PlayedFeedForward, PlayedKind } from '../engine/feedforward/playTypes.js';
import { formatNumber, formatQuantity } from '../engine/units/format.js';
import type { UnitSystem } from '../engine/units/quantity.js';
import { findingLines } from './output.js';
import { textTable } from './table.js';

const words: Readonly<Record<PlayedKind, string>> = {
  start: 'start',
  ramp: 'change of speed',
  running: 'running',
  coast: 'drive off',
};

/** What a person reads of a recording played through a feed-forward. */
export function playText(file: string, p: PlayedFeedForward, units: UnitSystem): string {
  const out = [`${file} played through it: what the web would have felt`, ''];
  const { forcePerTorque } = p;
  const amount = (torque: number): string =>
    forcePerTorque === undefined
      ? formatQuantity(torque, 'torque', units, 3)
      : formatQuantity(torque * forcePerTorque, 'tension', units, 3);
  const cells = (a: PeakAndRms): string[] => [amount(a.peak), amount(a.rms)];
  const head = ['without: peak', 'RMS', 'with: peak', 'RMS'];
  if (p.summary.length > 0)
    out.push(
      textTable(
        ['in all', 'time', ...head],
        p.summary.map((s) => [
          `${s.count} × ${words[s.kind]}`,
          `${formatNumber(s.duration, 3)} s`,
          ...cells(s.without),
          ...cells(s.with),
        ]),
      ),
      '',
      textTable(
        ['stretch', 'from', 'to', ...head],
        p.stretches.map((s) => [
          words[s.kind],
          `${s.from.toFixed(2)} s`,
          `${s.to.toFixed(2)} s`,
          ...cells(s.without),
          ...cells(s.with),
        ]),
      ),
      '',
      `${forcePerTorque === undefined ? 'torques at the motor: without a roller diameter there is no web force' : 'forces at the roller surface'}; means over ${formatNumber(p.average, 2)} s, in which noise alone makes ${amount(p.noise)} (RMS)`,
    );
  if (p.delay !== 0)
    out.push(
      `the ${p.delay > 0 ? 'torque' : 'speed'} was taken to be ${formatNumber(Math.abs(1000 * p.delay), 3)} ms late, as in the identification`,
    );
  if (p.offset !== 0) out.push(`torque offset taken off: ${formatQuantity(p.offset, 'torque', units)}`);
  if (p.findings.length > 0) out.push('', 'findings of the recording:', ...findingLines(p.findings));
  return out.join('\n');
}
