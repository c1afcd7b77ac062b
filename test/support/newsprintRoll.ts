import type { RollInput } from '../../src/engine/program/roll/rollInput.js';

/** An invented roll of newsprint on a centre winder, its laps thick so that they are few. */
export const newsprintRoll = (laps: number): RollInput => ({
  web: {
    width: 1,
    caliper: 1e-3,
    modulus: 4e8,
    density: 650,
    friction: 0.2,
    permeable: false,
    stack: { law: 'exponential', k1: 3000, k2: 30 },
  },
  core: { outerRadius: 0.05, stiffness: 5e9 },
  laps,
  tension: { law: 'constant', start: 300 },
  nip: 0,
  method: 'centre',
});
