import { type ReactNode, useId } from 'react';
import { type ImportDraft, nameOf } from './importDraft.js';

interface Props {
  readonly draft: ImportDraft;
  readonly drives: readonly string[];
  readonly onChange: (draft: ImportDraft) => void;
}

/** Which drive and which visit: what the board finds a recording by. */
export function NameFields({ draft, drives, onChange }: Props): ReactNode {
  const id = useId();
  const today = new Date().toLocaleDateString('sv');
  return (
    <fieldset className="import-part name-fields">
      <legend>What it is a recording of</legend>
      <div className="entry">
        <label htmlFor={`${id}d`}>Drive</label>
        <input
          id={`${id}d`}
          type="text"
          list={`${id}dl`}
          autoComplete="off"
          value={draft.drive}
          onChange={(e) => onChange({ ...draft, drive: e.target.value })}
        />
        <datalist id={`${id}dl`}>
          {drives.map((d) => (
            <option key={d} value={d} />
          ))}
        </datalist>
      </div>
      <div className="entry">
        <label htmlFor={`${id}v`}>Visit</label>
        <input
          id={`${id}v`}
          type="text"
          list={`${id}vl`}
          autoComplete="off"
          value={draft.visit}
          onChange={(e) => onChange({ ...draft, visit: e.target.value })}
        />
        <datalist id={`${id}vl`}>
          <option value="as-found" />
          <option value="as-left" />
          <option value={today} />
        </datalist>
      </div>
      <div className="entry">
        <label htmlFor={`${id}n`}>Notes</label>
        <input
          id={`${id}n`}
          type="text"
          className="long"
          autoComplete="off"
          value={draft.notes}
          onChange={(e) => onChange({ ...draft, notes: e.target.value })}
        />
      </div>
      <p className="soft">
        {draft.drive !== '' && !drives.includes(draft.drive)
          ? `The line has no drive file ${draft.drive}; the recording waits until there is one. `
          : ''}
        {draft.drive !== '' && draft.visit !== '' && `Becomes recordings/${nameOf(draft)}.parquet.`}
      </p>
    </fieldset>
  );
}
