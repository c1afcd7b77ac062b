import type { QuantityKey } from '../units/quantity.js';
import type { ParameterName } from './identification.js';

/** The quantity that each parameter is, for units and labels. */
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
