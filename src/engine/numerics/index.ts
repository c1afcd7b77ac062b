export * from './distributions.js';
export * from './leastSquares.js';
export * from './quantile.js';
export * from './random.js';
export * from './root.js';
export * from './specialFunctions.js';
