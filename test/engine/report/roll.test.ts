import { describe, expect, test } from 'vitest';
import { designSchedule } from '../../../src/engine/program/roll/design/designSchedule.js';
import { rollBand } from '../../../src/engine/program/roll/rollBand.js';
import { taperAdvice } from '../../../src/engine/program/roll/taperAdvice.js';
import { makeFormat } from '../../../src/engine/report/format.js';
import { rollSection } from '../../../src/engine/report/roll/rollSection.js';
import { renderFigure } from '../../../src/engine/report/svg/render.js';
import { newsprintRoll } from '../../support/newsprintRoll.js';

const input = {
  ...newsprintRoll(120),
  tension: { law: 'linear', start: 300, taper: 0.3 } as const,
  uncertainty: { friction: 0.2 },
};
const target = { kind: 'slip margin', wanted: 50 } as const;
const made = designSchedule(input, target, { tension: [250, 320] }, { knots: 6 });
const roll = {
  name: 'invented newsprint',
  invented: true,
  advice: taperAdvice(input),
  design: { target, made, band: rollBand(made.input, { rolls: 10 }) },
};

describe('the section of a roll', () => {
  const section = rollSection(roll, makeFormat('si'));
  const words = JSON.stringify(section.blocks);

  test('says whether taper is the lever, with the three schedules and their numbers', () => {
    expect(section).toMatchObject({ title: 'Roll: invented newsprint', isOwnPage: true });
    expect(section.lead).toContain('invented');
    const table = section.blocks
      .flatMap((b) => (b.kind === 'table' ? [b.table] : []))
      .find((t) => t.caption.startsWith('Three schedules'));
    expect(table?.rows.map((r) => r[0]?.text)).toEqual(['no taper', 'present', 'maximum taper']);
    // 300 N/m with a taper of 30 %, and constant torque from r 0.05 to 0.17
    expect(table?.rows.map((r) => Number(r[1]?.text))).toEqual([
      300,
      210,
      Number(((300 * 0.05) / 0.17).toPrecision(4)),
    ]);
    expect(words).toContain(roll.advice.words[0]);
  });

  test('draws three rolls in three kinds of line, with a legend', () => {
    const figure = section.blocks.find((b) => b.kind === 'figure');
    const svg = figure?.kind === 'figure' ? renderFigure(figure.figure) : '';
    for (const kind of ['model', 'reference', 'second-reference'])
      expect(svg).toMatch(new RegExp(`class="line ${kind} `));
    for (const name of ['as stated', 'no taper', 'maximum taper']) expect(svg).toContain(name);
  });

  test('a design that was not reached says why, and lists its knots', () => {
    expect(made.isReached).toBe(false);
    for (const why of made.because) expect(words).toContain(JSON.stringify(why).slice(1, -1));
    const tables = section.blocks.flatMap((b) => (b.kind === 'table' ? [b.table] : []));
    expect(tables.at(-1)?.rows).toHaveLength(6);
    expect(words).toContain(
      'The band holds 95 % of 10 rolls, drawn by what is stated (friction ± 20 %), by usual values, not measured (modulus ± 10 %, pressures of the stack law ± 30 %, slope of the stack law ± 10 %).',
    );
  });

  test('in US units no SI unit is left', () => {
    const american = {
      ...roll,
      advice: taperAdvice(input, 'us'),
      design: {
        target,
        band: roll.design.band,
        made: designSchedule(input, target, { tension: [250, 320] }, { knots: 6, units: 'us' }),
      },
    };
    const us = JSON.stringify(rollSection(american, makeFormat('us')).blocks);
    expect(us).not.toMatch(/\bN\/m\b|kPa| m"/);
    expect(us).toContain('pli');
  });
});
