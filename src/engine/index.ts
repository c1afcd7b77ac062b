// The engine's public surface on one page. Re-exports only.
export * from './errors.js';
export { assistTorque } from './feedforward/assist.js';
export { type FeedForwardOptions, feedForward } from './feedforward/feedForward.js';
export { feedForwardTorque } from './feedforward/torque.js';
export * from './feedforward/types.js';
export * from './findings.js';
export { type CompareOptions, compareIdentifications } from './identify/compare/compare.js';
export * from './identify/compare/comparison.js';
export * from './identify/identification.js';
export * from './line/drag.js';
export * from './line/drive.js';
export * from './recording/recording.js';
