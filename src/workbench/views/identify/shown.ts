import type { FitTrace, Identification } from '../../../engine/identify/identification.js';
import { fromIdentificationDocument } from '../../../engine/project/identification.js';
import { type Format, makeFormat } from '../../../engine/report/format.js';
import type { IdentifyResult } from '../../api/types.js';
import type { Units } from '../../state/units.js';

const samples = (values: readonly (number | null)[]): Float64Array =>
  Float64Array.from(values, (v) => v ?? Number.NaN);

/** A result as the engine's figures take it, with its samples where they came along. */
export function shownResult({ document, trace }: IdentifyResult): Identification {
  const identification = fromIdentificationDocument(document);
  if (trace === undefined) return identification;
  const plotted: FitTrace = {
    time: samples(trace.time_s),
    speed: samples(trace.speed_rad_per_s),
    torque: samples(trace.torque_Nm),
    torqueFitted: samples(trace.torqueFitted_Nm),
  };
  return { ...identification, trace: plotted };
}

/** How the engine's figures and tables write numbers in the units that are shown. */
export const formatOf = (units: Units): Format => makeFormat(units.system, (key) => units.unit(key));
