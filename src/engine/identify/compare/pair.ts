import type { Finding } from '../../findings.js';
import type { Drive } from '../../line/drive.js';
import type { Identification } from '../identification.js';

/** Relative difference below which two typed values are the same (rounding on a nameplate). */
const typedAlike = 1e-3;

const differ = (a: number | undefined, b: number | undefined): boolean =>
  a !== undefined && b !== undefined && Math.abs(a - b) > typedAlike * Math.max(Math.abs(a), Math.abs(b));

/**
 * What stands against comparing two identifications. Another gear refuses: every value at the motor shaft changes with it. Another
 * name, element, roller or torque scale warns: it may be meant (a reground roller), or the wrong document.
 */
export function pairFindings(
  earlier: Identification,
  later: Identification,
  drives: { readonly earlier: Drive; readonly later: Drive },
): Finding[] {
  const [a, b] = [drives.earlier, drives.later];
  const findings: Finding[] = [];
  const mismatch = (
    severity: 'refuse' | 'warn',
    what: string,
    then: string,
    values: readonly [string | number | undefined, string | number | undefined],
    next: string,
  ): void => {
    findings.push({
      code: 'pair_mismatch',
      severity,
      message: `the two visits state another ${what} (${values[0]} and ${values[1]}): ${then}`,
      where: { what, earlier: values[0] ?? 'not given', later: values[1] ?? 'not given' },
      next,
    });
  };
  if (differ(a.gearRatio, b.gearRatio))
    mismatch(
      'refuse',
      'gear ratio',
      'every value at the motor shaft changes with it, so a comparison would say nothing of the roller',
      [a.gearRatio, b.gearRatio],
      'identify both recordings with the drive file that was right at the time, or compare documents of one gear',
    );
  if (a.name !== b.name)
    mismatch(
      'warn',
      'drive',
      'they may not be the same roller',
      [a.name, b.name],
      'check that both documents belong to this drive',
    );
  if (a.element !== b.element)
    mismatch(
      'warn',
      'element',
      'they may not be the same roller',
      [a.element, b.element],
      'check that both documents belong to this drive',
    );
  if (differ(a.rollerRadius, b.rollerRadius))
    mismatch(
      'warn',
      'roller diameter in m',
      'inertia and drag change with the roller; web tug is computed with the later one',
      [double(a.rollerRadius), double(b.rollerRadius)],
      'correct the drive file that is wrong, unless the roller was reground or replaced',
    );
  for (const [what, values] of [
    ['rated torque in N·m', [a.ratedTorque, b.ratedTorque]],
    ['torque constant in N·m/A', [a.torqueConstant, b.torqueConstant]],
  ] as const)
    if (differ(...values))
      mismatch(
        'warn',
        what,
        'every torque, and the inertia, scales with it where the recording states torque in percent or as a current',
        values,
        'correct the drive file that is wrong, unless the motor was replaced',
      );
  if (earlier.inputs.sha256 !== '' && earlier.inputs.sha256 === later.inputs.sha256)
    findings.push({
      code: 'pair_mismatch',
      severity: 'warn',
      message: `both documents come from the same recording, ${later.inputs.file}: it cannot show a change of the drive`,
      where: { file: later.inputs.file },
      next: 'give the identifications of two visits',
    });
  const apparent = [earlier, later].filter((id) => id.apparentDragCurve !== undefined);
  if (apparent.length > 0)
    findings.push({
      code: 'web_on',
      severity: 'warn',
      message: `${apparent.length === 2 ? 'both visits were' : 'one visit was'} recorded with the web on: its apparent drag holds the pull of the web and is not compared`,
      where: { documents: apparent.length },
      next: 'record the drive without web at both visits',
    });
  return findings;
}

const double = (radius: number | undefined): number | undefined =>
  radius === undefined ? undefined : Number((2 * radius).toPrecision(10));
