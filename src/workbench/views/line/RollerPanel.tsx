import type { ReactNode } from 'react';
import type { LineCheck } from '../../../engine/line/check/lineCheck.js';
import type { Line } from '../../../engine/line/line.js';
import { webRollers } from '../../../engine/line/line.js';
import type {
  LineDocument,
  RollerDocument,
  SectionDocument,
} from '../../../engine/project/line/lineDocument.js';
import { kindKeys } from '../../../engine/project/line/lineDocument.js';
import { NumberEntry } from '../../components/NumberEntry.js';
import { useUnits } from '../../state/units.js';
import {
  type EditableStem,
  editable,
  flipWrap,
  moveRoller,
  type RollerPlace,
  rollerAt,
  setQuantity,
  whyNeeded,
} from './editLine.js';

interface Props {
  readonly text: string;
  readonly document: LineDocument;
  readonly line: Line | undefined;
  readonly check: LineCheck | undefined;
  readonly circle: string;
  readonly place: RollerPlace;
  readonly onEdit: (text: string, words: string) => void;
  readonly onAdd: () => void;
  readonly onRemove: () => void;
}

const labels: Readonly<Record<EditableStem, string>> = {
  diameter_: 'Diameter',
  face_width_: 'Face width',
  core_diameter_: 'Core diameter',
  full_diameter_: 'Full diameter',
  carriage_height_: 'Carriage height',
  pitch_: 'Pitch',
  tension_: 'Tension behind',
  nip_force_: 'Nip force',
  force_: 'Dancer force',
};

/** The roller that is selected, in exact values. */
export function RollerPanel({
  text,
  document,
  line,
  check,
  circle,
  place,
  onEdit,
  onAdd,
  onRemove,
}: Props): ReactNode {
  const units = useUnits();
  const stated = rollerAt(document, place);
  const section = document.sections[place.section];
  if (stated === undefined || section === undefined) return null;
  const { path } = place;
  const index = line === undefined ? -1 : webRollers(line).findIndex((r) => r.name === circle);
  const wrap = check?.path?.wraps.find((w) => w.name === circle)?.wrap;
  const spans = check?.path?.spans ?? [];
  const [before, behind] = [spans[index - 1], spans[index]];
  const length = (span: { readonly length: number } | undefined): string =>
    span === undefined
      ? '–'
      : Number.isFinite(span.length)
        ? units.withUnit('webLength', span.length)
        : 'no web can run so';
  const [x, y] = stated.centre_m ?? [undefined, undefined];
  const move = (to: readonly [number, number]): void => onEdit(moveRoller(text, path, to), `${circle} moved`);
  const isSection = path.length === 2;
  const needed = isSection ? whyNeeded(document, place.section) : 'it is part of a section';
  return (
    <section className="panel" aria-label={circle}>
      <h2>{circle}</h2>
      <p className="soft">
        {section.kind}
        {stated.like !== undefined && `, built like ${stated.like}`}
        {typeof stated.drive === 'string' && `, driven: ${stated.drive}`}
        {typeof stated.drive === 'object' && ', driven'}
      </p>
      <NumberEntry label="Centre, x" quantity="length" value={x} onChange={(v) => move([v, y ?? 0])} />
      <NumberEntry label="Centre, y" quantity="length" value={y} onChange={(v) => move([x ?? 0, v])} />
      {offeredStems(section, stated, isSection).map((stem) => (
        <NumberEntry
          key={stem}
          label={labels[stem]}
          quantity={editable[stem].quantity}
          value={statedValue(stated, stem, circle, line)}
          refuse={(v) => (v > 0 ? undefined : 'state a value above 0')}
          onChange={(v) =>
            onEdit(setQuantity(text, path, stem, v), `${labels[stem].toLowerCase()} of ${circle}`)
          }
          {...(stem === 'diameter_' &&
            stated.diameter_m === undefined &&
            stated.like !== undefined && { note: `that of ${stated.like} until stated here` })}
        />
      ))}
      <div className="entry">
        <span>Turns</span>
        <span className="row">
          {stated.turns ?? 'not stated'}
          <button type="button" onClick={() => onEdit(flipWrap(text, path), `${circle} turned over`)}>
            Turn over
          </button>
        </span>
      </div>
      <dl className="facts">
        <dt>Wrap</dt>
        <dd>
          {wrap !== undefined && Number.isFinite(wrap) ? `${Math.round((wrap * 180) / Math.PI)}°` : '–'}
        </dd>
        <dt>Span before</dt>
        <dd>{length(before)}</dd>
        <dt>Span behind</dt>
        <dd>{length(behind)}</dd>
      </dl>
      <div className="row">
        <button type="button" onClick={onAdd}>
          Add idler behind
        </button>
        <button
          type="button"
          onClick={onRemove}
          disabled={needed !== undefined}
          title={needed === undefined ? undefined : `It stays: ${needed}`}
        >
          Take out
        </button>
      </div>
    </section>
  );
}

/** Quantities that a section of this kind can state, or this one states. */
function offeredStems(section: SectionDocument, stated: RollerDocument, isSection: boolean): EditableStem[] {
  return (Object.keys(editable) as EditableStem[]).filter((stem) => {
    const { siKey } = editable[stem];
    if (siKey === 'diameter_m') return true;
    if (Object.hasOwn(stated, siKey)) return true;
    return (
      isSection &&
      siKey !== 'face_width_m' &&
      siKey !== 'tension_N_per_m' &&
      (kindKeys[siKey]?.includes(section.kind) ?? false)
    );
  });
}

function statedValue(
  stated: RollerDocument,
  stem: EditableStem,
  circle: string,
  line: Line | undefined,
): number | undefined {
  const own = (stated as Record<string, unknown>)[editable[stem].siKey];
  if (typeof own === 'number') return own;
  if (stem !== 'diameter_' || line === undefined) return undefined;
  const radius = webRollers(line).find((r) => r.name === circle)?.radius;
  return radius === undefined ? undefined : 2 * radius;
}
