import type { ParameterName } from '../engine/identify/identification.js';
import type { QuantityKey } from '../engine/units/quantity.js';

/** The quantity in which each parameter is printed. */
export const parameterQuantity: Readonly<Record<ParameterName, QuantityKey>> = {
  inertia: 'inertia',
  coulomb: 'torque',
  viscous: 'viscousDrag',
  quadratic: 'quadraticDrag',
  stribeck: 'torque',
  stribeckSpeed: 'angularSpeed',
  breakaway: 'torque',
  offset: 'torque',
};

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
