export { movingBlockIndices } from './blockBootstrap.js';
export {
  type BoundedProblem,
  type BoundedSolution,
  boundedLeastSquares,
} from './boundedLeastSquares.js';
export { CompensatedSum } from './compensated.js';
export { cubicSpline } from './cubicSpline.js';
export * from './distributions.js';
export { fft, inverseFft, realFft, type Spectrum } from './fft.js';
export {
  butterworth,
  chebyshev1,
  decimate,
  filtfilt,
  type Section,
  type SectionFilter,
} from './filter.js';
export { fitHuber, type HuberSolution } from './huber.js';
export {
  type LeastSquaresSolution,
  type LinearSolution,
  projectedResiduals,
  solveLeastSquares,
} from './leastSquares.js';
export { levenbergMarquardt, type NonlinearProblem, type NonlinearSolution } from './levenbergMarquardt.js';
export { type OdeOptions, type OdeSolution, solveOde } from './ode.js';
export { pchip } from './pchip.js';
export type { Curve } from './piecewiseCubic.js';
export { median, medianAbsoluteDeviation, quantile } from './quantile.js';
export { createRandom, type Random } from './random.js';
export { brent } from './root.js';
export { savitzkyGolay, savitzkyGolayWeights } from './savitzkyGolay.js';
export { singularValues } from './singularValues.js';
export { incompleteBeta, incompleteGamma, logGamma, type Tails } from './specialFunctions.js';
export { StreamingLeastSquares } from './streamingLeastSquares.js';
export { solveTridiagonal } from './tridiagonal.js';
export { type SeparableProblem, type SeparableSolution, variableProjection } from './variableProjection.js';
