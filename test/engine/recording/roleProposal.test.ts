import { describe, expect, it } from 'vitest';
import { chooseColumns, type MapOptions } from '../../../src/engine/recording/chooseColumns.js';
import { column, ramp } from './tables.js';

const values = ramp(30);

/** Role -> header for headers written `name|unit` (no bar: no unit). */
function proposed(headers: string[], options: MapOptions = {}, driveName?: string) {
  const findings: Parameters<typeof chooseColumns>[3] = [];
  const columns = headers.map((h) => {
    const [name, unit] = h.split('|');
    return column(name, unit, values);
  });
  const chosen = chooseColumns(columns, driveName, options, findings);
  return { roles: Object.fromEntries([...chosen].map(([r, c]) => [r, c.header])), findings };
}

describe('role proposal', () => {
  it.each([
    ['English', ['Time|s', 'Speed ref|rpm', 'Speed act|rpm', 'Torque act|% of rated', 'Motor current|A']],
    ['German', ['Zeit|s', 'Drehzahlsollwert|1/min', 'Drehzahlistwert|1/min', 'Drehmoment Ist|Nm', 'Strom|A']],
    [
      'French',
      ['Temps|ms', 'Consigne vitesse|tr/min', 'Vitesse réelle|tr/min', 'Couple moteur|N.m', 'Courant|A'],
    ],
    ['Spanish', ['Tiempo|s', 'Consigna velocidad|rpm', 'Velocidad real|rpm', 'Par motor|N.m', 'Corriente|A']],
    ['Italian', ['Tempo|s', 'Riferimento velocità|rpm', 'Velocità reale|rpm', 'Coppia|Nm', 'Corrente|A']],
    ['symbols', ['t|s', 'n_set|rpm', 'n_act|rpm', 'M_act|Nm', 'I_q|A']],
    ['camel case', ['time|s', 'nSoll|1/min', 'nIst|1/min', 'mIst|Nm', 'iIst|A']],
  ])('reads an export in %s', (_, headers) => {
    expect(proposed(headers).roles).toEqual({
      time: headers[0].split('|')[0],
      'speed-reference': headers[1].split('|')[0],
      'motor-speed': headers[2].split('|')[0],
      'motor-torque': headers[3].split('|')[0],
    });
  });

  it('reads the measured axis: position and its reference', () => {
    expect(proposed(['time|s', 'position ref|rad', 'motor position|rad', 'motor torque|N.m']).roles).toEqual({
      time: 'time',
      'motor-position': 'motor position',
      'motor-torque': 'motor torque',
    });
  });

  it('reads a winder with tension, diameter and line speed', () => {
    expect(
      proposed([
        'Time|s',
        'Line speed|m/min',
        'Winder motor speed|rpm',
        'Winder torque|%',
        'Web tension|N',
        'Roll diameter|mm',
      ]).roles,
    ).toEqual({
      time: 'Time',
      'line-speed': 'Line speed',
      'motor-speed': 'Winder motor speed',
      'motor-torque': 'Winder torque',
      'web-tension': 'Web tension',
      'roll-diameter': 'Roll diameter',
    });
  });

  it('never takes a column whose unit belongs to something else', () => {
    const { roles } = proposed(['Torque|°C', 'Speed|kW', 'Time|V', 'Tension|m/min']);
    expect(roles).toEqual({});
  });

  it('does not take limits, errors, set values or other quantities for the actual ones', () => {
    const { roles } = proposed([
      'time|s',
      'Speed limit|rpm',
      'Torque limit|Nm',
      'Torque setpoint|Nm',
      'Speed error|rpm',
      'Motor temperature|°C',
      'DC link voltage|V',
    ]);
    expect(roles['motor-torque']).toBeUndefined();
    expect(roles['motor-speed']).toBeUndefined();
  });

  it('takes a surface speed for that of the roller', () => {
    expect(proposed(['Speed act|m/min']).roles).toEqual({ 'roller-speed': 'Speed act' });
    expect(proposed(['Speed act|rpm']).roles).toEqual({ 'motor-speed': 'Speed act' });
  });

  it('leaves a role open when two columns fit equally, and says both', () => {
    const { roles, findings } = proposed(['time|s', 'Torque act A|Nm', 'Torque act B|Nm', 'speed|rpm']);
    expect(roles['motor-torque']).toBeUndefined();
    expect(findings).toMatchObject([
      {
        code: 'role_ambiguous',
        severity: 'refuse',
        where: { role: 'motor-torque', headers: ['Torque act A', 'Torque act B'] },
        next: expect.stringContaining('--channel motor-torque='),
      },
    ]);
  });

  it('takes the columns of the drive at hand from an export of several', () => {
    const headers = [
      'time|s',
      'Helper 2 speed|rpm',
      'Helper_3 speed|rpm',
      'Helper 2 torque|%',
      'Helper_3 torque|%',
    ];
    expect(proposed(headers, {}, 'helper 3').roles).toMatchObject({
      'motor-speed': 'Helper_3 speed',
      'motor-torque': 'Helper_3 torque',
    });
    expect(proposed(headers, {}, 'helper').roles['motor-torque']).toBeUndefined();
  });

  it('lets a stated channel win and never gives its column a second role', () => {
    const { roles } = proposed(['time|s', 'speed A|rpm', 'speed B|rpm'], {
      channels: { 'motor-speed': 'speed B' },
    });
    expect(roles['motor-speed']).toBe('speed B');
  });

  it.each(['Speed Act [rpm]', 'speed act [rpm]', 'Speed Act', ' SPEED ACT '])(
    'accepts %j for "Speed Act [rpm]"',
    (typed) => {
      const columns = [column('Speed Act [rpm]', 'rpm', values), column('Speed Set [rpm]', 'rpm', values)];
      expect(
        chooseColumns(columns, undefined, { channels: { 'motor-speed': typed } }, []).get('motor-speed'),
      ).toBe(columns[0]);
    },
  );

  it('says which headers there are, and the nearest, when one is not there', () => {
    const columns = [column('Speed act [rpm]', 'rpm', values), column('Torque [Nm]', 'Nm', values)];
    const choose = () => chooseColumns(columns, undefined, { channels: { 'motor-speed': 'Sped act' } }, []);
    expect(choose).toThrowError(
      expect.objectContaining({
        code: 'column_unknown',
        where: expect.objectContaining({ headers: ['Speed act [rpm]', 'Torque [Nm]'] }),
        next: expect.stringContaining('Speed act [rpm]'),
      }),
    );
  });

  it('finds the nearest header whatever unit stands behind it', () => {
    const columns = ['Time [s]', 'Speed act [rpm of the motor]', 'T [Nm]'].map((h) =>
      column(h, undefined, values),
    );
    expect(() =>
      chooseColumns(columns, undefined, { channels: { 'motor-speed': 'Sped act' } }, []),
    ).toThrowError(
      expect.objectContaining({ next: expect.stringContaining("motor-speed=Speed act [rpm of the motor]'") }),
    );
  });

  it('refuses a header without its unit where that fits two columns', () => {
    const columns = [column('Torque [Nm]', 'Nm', values), column('Torque [%]', '%', values)];
    expect(() =>
      chooseColumns(columns, undefined, { channels: { 'motor-torque': 'torque' } }, []),
    ).toThrowError(
      expect.objectContaining({ code: 'column_unknown', message: expect.stringContaining('fits 2 columns') }),
    );
  });
});
