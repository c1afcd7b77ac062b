import type { ParameterName } from '../engine/identify/identification.js';

/** What each parameter is called on a terminal. */
export const parameterLabels: Readonly<Record<ParameterName, string>> = {
  inertia: 'inertia at the motor shaft',
  coulomb: 'Coulomb drag',
  viscous: 'viscous drag',
  quadratic: 'quadratic drag',
  stribeck: 'Stribeck excess',
  stribeckSpeed: 'Stribeck speed',
  breakaway: 'breakaway torque',
  offset: 'torque offset',
};
