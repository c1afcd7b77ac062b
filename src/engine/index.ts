// The engine's public surface on one page. Re-exports only.
export * from './errors.js';
export * from './findings.js';
export * from './identify/identification.js';
export * from './line/drag.js';
export * from './line/drive.js';
export * from './recording/recording.js';
