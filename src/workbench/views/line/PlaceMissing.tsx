import type { ReactNode } from 'react';
import type { LineDocument } from '../../../engine/project/line/lineDocument.js';
import { EmptyState } from '../../components/FindingItem.js';
import { setValues } from '../../yaml/patch.js';
import { moveRoller, placeOf, rollerAt, setQuantity } from './editLine.js';

interface Props {
  readonly text: string;
  readonly document: LineDocument;
  /** Rollers without a place, a diameter or a sense of rotation. */
  readonly missing: readonly string[];
  readonly onEdit: (text: string, words: string) => void;
}

/** A line is drawn when each of its rollers has a place: this gives those that have none a first one, to be dragged from there. */
export function PlaceMissing({ text, document, missing, onEdit }: Props): ReactNode {
  const place = (names: readonly string[]): void => {
    let out = text;
    let x = Math.max(0, ...document.sections.map((s) => s.centre_m?.[0] ?? 0));
    for (const name of names) {
      const at = placeOf(document, name);
      const stated = at && rollerAt(document, at);
      if (at === undefined || stated === undefined) continue;
      x += 1;
      if (stated.centre_m === undefined) out = moveRoller(out, at.path, [x, 1]);
      if (stated.diameter_m === undefined && stated.like === undefined)
        out = setQuantity(out, at.path, 'diameter_', 0.15);
      if (stated.turns === undefined) out = setValues(out, [[[...at.path, 'turns'], 'clockwise']]);
    }
    onEdit(out, names.length === 1 ? `${names[0]} placed` : `${names.length} rollers placed`);
  };
  return (
    <EmptyState title="The line cannot be drawn yet">
      <p>
        A roller is drawn where it has a centre, a diameter and a sense of rotation. These have not:{' '}
        {missing.join(', ')}.
      </p>
      <button type="button" className="strong" onClick={() => place(missing)}>
        Give them a first place
      </button>
    </EmptyState>
  );
}
