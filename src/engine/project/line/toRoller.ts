import type { DragLaw } from '../../line/drag.js';
import { dragThroughGear } from '../../line/drag.js';
import type { Drive } from '../../line/drive.js';
import type { MeasuredDrive, Roller, RollerDrag, RollerDrive, Sourced } from '../../line/line.js';
import { shellOf } from '../../line/shell.js';
import { toDrive } from '../drive.js';
import type { RollerDocument, ShellDocument } from './lineDocument.js';
import { lineProblem } from './problem.js';
import type { LineSources } from './sources.js';

export interface RollerContext {
  readonly name: string;
  /** Where the roller's keys stand: sections.3, or sections.3.drum. */
  readonly pointer: string;
  readonly webWidth?: number;
  readonly sources: LineSources;
}

/** A roller as the engine computes with it. @throws TautlineError for values that make no sense together and unread references */
export function toRoller(document: RollerDocument, context: RollerContext): Roller {
  const drive = rollerDrive(document, context);
  const radius = document.diameter_m === undefined ? undefined : 0.5 * document.diameter_m;
  const faceWidth = document.face_width_m ?? drive?.drive.rollerWidth;
  const shell =
    document.shell === undefined ? undefined : shellValues(document.shell, radius, faceWidth, context);
  return {
    name: context.name,
    ...(document.centre_m && { centre: { x: document.centre_m[0], y: document.centre_m[1] } }),
    radius,
    ...(document.turns && { sense: document.turns === 'clockwise' ? -1 : 1 }),
    faceWidth,
    mass: shell?.mass,
    inertia: rollerInertia(document, shell?.inertia, drive),
    drag: rollerDrag(document, drive),
    breakaway: document.breakaway_Nm ?? breakawayAtRoller(drive),
    friction: document.friction,
    roughness: document.roughness_m,
    grooved: document.grooved === true,
    drive,
  };
}

function rollerDrive(document: RollerDocument, context: RollerContext): RollerDrive | undefined {
  const { drive: reference, identification } = document;
  const { sources, pointer, name } = context;
  if (reference === undefined) return undefined;
  let drive: Drive | undefined;
  if (typeof reference === 'string') drive = sources.drives.get(reference);
  else drive = toDrive({ schema: 'tautline/drive@1', name, element: 'driven-idler', ...reference });
  if (drive === undefined)
    throw lineProblem(
      'document_reference',
      `${pointer}.drive`,
      String(reference),
      `${name}: drive file ${String(reference)} was not read`,
      'state the path of the drive file from the line folder',
    );
  const key = identification ?? (typeof reference === 'string' ? reference : undefined);
  const measured = key === undefined ? undefined : sources.measured.get(key);
  if (identification !== undefined && measured === undefined)
    throw lineProblem(
      'document_reference',
      `${pointer}.identification`,
      identification,
      `${name}: identification ${identification} was not read`,
      'state the path of an identification from the line folder',
    );
  return { drive, ...(measured && { measured }) };
}

function shellValues(
  shell: ShellDocument,
  radius: number | undefined,
  faceWidth: number | undefined,
  { name, pointer, webWidth }: RollerContext,
): { mass: number; inertia: number } {
  const problem = (key: string, value: string | number, message: string, next: string): Error =>
    lineProblem('document_value', `${pointer}.shell${key}`, value, `${name}: ${message}`, next);
  if (shell.material === undefined && shell.density_kgm3 === undefined)
    throw problem('', '', 'the density of the shell is not known', 'state material or density_kgm3');
  if (radius === undefined)
    throw problem('', '', 'a shell needs the diameter of the roller', 'state diameter_m');
  if ((shell.inner_diameter_m === undefined) === (shell.wall_m === undefined))
    throw problem(
      '',
      '',
      'a shell has either an inner diameter or a wall',
      'state inner_diameter_m or wall_m, not both',
    );
  const inner =
    shell.inner_diameter_m !== undefined ? 0.5 * shell.inner_diameter_m : radius - (shell.wall_m as number);
  if (!(inner >= 0 && inner < radius))
    throw problem(
      shell.wall_m === undefined ? '.inner_diameter_m' : '.wall_m',
      shell.wall_m ?? (shell.inner_diameter_m as number),
      `no shell of ${2 * radius} m outer diameter has an inner diameter of ${2 * inner} m`,
      'correct the diameters; the inner one lies between 0 and the outer one',
    );
  const length = shell.length_m ?? faceWidth ?? webWidth;
  if (length === undefined)
    throw problem(
      '',
      '',
      'the length of the shell is not stated',
      'state length_m or the roller’s face_width_m',
    );
  return shellOf({
    outerRadius: radius,
    innerRadius: inner,
    length,
    material: shell.material,
    density: shell.density_kgm3,
    endsMass: shell.ends_mass_kg,
  });
}

function rollerInertia(
  document: RollerDocument,
  fromShell: number | undefined,
  drive: RollerDrive | undefined,
): Sourced | undefined {
  if (document.inertia_kgm2 !== undefined) return { value: document.inertia_kgm2, source: 'stated' };
  if (fromShell !== undefined) return { value: fromShell, source: 'from shell dimensions' };
  const measured = drive?.measured?.inertia;
  if (drive === undefined || measured === undefined) return undefined;
  const { gearRatio, motorInertia, gearInertia } = drive.drive;
  const rotor = (motorInertia ?? 0) + (gearInertia ?? 0);
  // A measured inertia holds the rotor too; without the data sheet's rotor the roller alone is not known.
  if (motorInertia === undefined || measured.value <= rotor) return undefined;
  const square = gearRatio ** 2;
  return {
    value: (measured.value - rotor) * square,
    source: `${measured.source}, less motor and gearbox`,
    ...(measured.halfWidth95 !== undefined && { halfWidth95: measured.halfWidth95 * square }),
  };
}

function rollerDrag(document: RollerDocument, drive: RollerDrive | undefined): RollerDrag {
  if (document.drag !== undefined)
    return {
      known: 'stated',
      source: 'stated',
      law: {
        coulomb: document.drag.coulomb_Nm ?? 0,
        viscous: document.drag.viscous_Nms ?? 0,
        quadratic: document.drag.quadratic_Nms2 ?? 0,
        stribeck: 0,
        stribeckSpeed: 1,
      } satisfies DragLaw,
    };
  const measured = drive?.measured;
  if (drive !== undefined && measured?.drag !== undefined)
    return {
      known: 'measured',
      source: measured.source,
      ...atRoller(measured, measured.drag, drive.drive.gearRatio),
    };
  if (document.bearings !== undefined) {
    const b = document.bearings;
    return {
      known: 'estimated',
      bearings: {
        count: b.count ?? 2,
        bore: b.bore_m,
        outerDiameter: b.outer_diameter_m,
        kinematicViscosity: b.kinematic_viscosity_m2_per_s,
        staticRating: b.static_rating_N,
        sealed: b.sealed === true,
      },
    };
  }
  return { known: 'unknown' };
}

function atRoller(
  measured: MeasuredDrive,
  law: DragLaw,
  ratio: number,
): Pick<Extract<RollerDrag, { known: 'measured' | 'stated' }>, 'law' | 'halfWidth95'> {
  const band = measured.dragHalfWidth95;
  return {
    law: dragThroughGear(law, ratio),
    ...(band && {
      halfWidth95: { speed: band.speed.map((w) => w / ratio), torque: band.torque.map((t) => t * ratio) },
    }),
  };
}

const breakawayAtRoller = (drive: RollerDrive | undefined): number | undefined =>
  drive?.measured?.breakaway === undefined
    ? undefined
    : drive.measured.breakaway.value * drive.drive.gearRatio;
