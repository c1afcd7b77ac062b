import type { Finding } from '../../findings.js';
import type { LineSpeed } from '../../line/line.js';
import { availableTorque } from '../../line/motor.js';
import { formatNumber, formatQuantity } from '../../units/format.js';
import type { Time, UnitSystem } from '../../units/quantity.js';
import {
  type CommonStop,
  commonStop,
  type SectionInStop,
  type StopEnergy,
  type StopSection,
  stopEnergy,
  type WebState,
} from '../duty/stop.js';
import type { Product } from '../product.js';
import type { DriveModel } from './driveModel.js';

/** A stop of the whole line from top speed, with full rolls. */
export interface LineStop {
  readonly kind: 'normal' | 'emergency';
  readonly time: Time;
  readonly intact: CommonStop;
  readonly broken: CommonStop;
  readonly energy: readonly { readonly name: string; readonly stop: StopEnergy }[];
}

export interface ShortestStop {
  readonly time: Time;
  readonly setBy: string;
}

/** What stops ask of the drives of a line. */
export interface LineStops {
  /** Shortest time in which all drives can stop together, and which of them sets it; undefined when one of them can never stop. */
  readonly shortestStop?: ShortestStop;
  readonly shortestBrokenStop?: ShortestStop;
  readonly stops: readonly LineStop[];
  readonly findings: readonly Finding[];
}

/** Speeds of a stop, as shares of top speed, at which drag is looked at for its smallest value. */
const stopSpeeds = [0, 0.05, 0.1, 0.25, 0.5, 0.75, 1];

/** A drive in a stop with the largest roll, at its roller, with the smallest drag of the stop; unknown drag is left out, which is on the safe side. */
function stopSection(model: DriveModel, top: number, product: Product): StopSection {
  const fullRadius = model.roll === undefined ? undefined : product[model.roll]?.fullRadius;
  const diameter = 2 * (fullRadius ?? Number.NaN);
  const { inertia, radius, webTorque } = model.stopping(diameter);
  const { motor, sides } = model.drive;
  const motorSpeed = model.motorSpeed(diameter, top);
  const braking = motor === undefined ? 0 : availableTorque(motor, -1, motorSpeed);
  const driving = motor === undefined ? 0 : availableTorque(motor, 1, motorSpeed);
  return {
    name: model.name,
    inertia,
    radius,
    // Losses of the gearbox help to brake and hinder to drive.
    retardingTorque: braking / sides.brakingFactor,
    drivingTorque: driving / sides.drivingFactor,
    tensionTorque: webTorque,
    drag: Math.max(0, Math.min(...stopSpeeds.map((share) => model.dragAtRoller(diameter, share * top)))),
  };
}

/**
 * Stops of the whole line from top speed with the drives that are known well enough, at the times that the line states and as short as all of them
 * can [s, N·m, J]. Source: docs/models/drive-duty.md.
 */
export function lineStops(
  speed: LineSpeed,
  models: readonly DriveModel[],
  product: Product,
  units: UnitSystem,
): LineStops {
  if (models.length === 0) return { stops: [], findings: [] };
  const findings: Finding[] = [];
  const sections = models.map((m) => stopSection(m, speed.top, product));
  const wanted: { kind: LineStop['kind']; time: Time }[] = [
    ...(speed.stop === undefined ? [] : [{ kind: 'normal' as const, time: speed.top / speed.stop }]),
    ...(speed.emergencyStopTime === undefined
      ? []
      : [{ kind: 'emergency' as const, time: speed.emergencyStopTime }]),
  ];
  const stops = wanted.map(({ kind, time }): LineStop => {
    const intact = commonStop(sections, speed.top, 'intact', time);
    const broken = commonStop(sections, speed.top, 'broken', time);
    models.forEach((model, k) => {
      // A normal stop keeps the web; a web break is stopped like an emergency, and the harder of the two is told.
      const cases: [WebState, SectionInStop][] = [
        ['intact', intact.sections[k]],
        ...(kind === 'emergency' ? [['broken', broken.sections[k]] as [WebState, SectionInStop]] : []),
      ];
      const [web, hardest] = cases.reduce((a, b) => (b[1].margin < a[1].margin ? b : a));
      findings.push(
        ...stopFinding(model, hardest, `${kind} stop, full roll, web ${web}`, speed.top, time, units),
      );
    });
    return {
      kind,
      time,
      intact,
      broken,
      energy: sections.map((s) => ({ name: s.name, stop: stopEnergy(s, speed.top, time, 'intact') })),
    };
  });
  const shortestStop = shortestOf(sections, speed.top, 'intact');
  const shortestBrokenStop = shortestOf(sections, speed.top, 'broken');
  return {
    ...(shortestStop && { shortestStop }),
    ...(shortestBrokenStop && { shortestBrokenStop }),
    stops,
    findings,
  };
}

function shortestOf(sections: readonly StopSection[], top: number, web: WebState): ShortestStop | undefined {
  const { time, setBy } = commonStop(sections, top, web);
  return Number.isFinite(time) ? { time, setBy } : undefined;
}

/** A margin below this share is worth a warning. */
const narrow = 0.1;

/** What a section lacks in a stop of a stated time, or how little is left to it. */
function stopFinding(
  model: DriveModel,
  { torque, margin, shortest, longest }: SectionInStop,
  stop: string,
  top: number,
  time: Time,
  units: UnitSystem,
): Finding[] {
  const available = margin + Math.abs(torque);
  if (torque === 0 || margin > narrow * available) return [];
  const broken = margin < 0;
  const seconds = (bound: string, limit: Time): string =>
    Number.isFinite(limit) ? `; on its own it takes ${bound} ${formatNumber(limit, 3)} s` : '';
  const need = `${torque < 0 ? 'driving' : 'retarding'} torque of ${formatQuantity(Math.abs(torque), 'torque', units)} at the roller`;
  return [
    {
      code: torque < 0 ? 'stop_too_long' : 'stop_too_short',
      severity: broken ? 'refuse' : 'warn',
      message: `${model.name} ${broken ? 'cannot stop' : 'can hardly stop'} from ${formatQuantity(top, 'speed', units)} in ${formatNumber(time, 3)} s (${stop}): it needs a ${need}, and ${formatQuantity(available, 'torque', units)} is there${torque < 0 ? seconds('at most', longest) : seconds('at least', shortest)}`,
      where: { pointer: model.section.pointer, section: model.section.name },
      next:
        torque < 0
          ? 'stop more quickly, so that what turns pulls the web itself, or give it a motor that can drive on'
          : 'allow a longer stop for the whole line, or add a brake there',
    },
  ];
}
