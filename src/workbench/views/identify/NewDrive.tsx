import { useQueryClient } from '@tanstack/react-query';
import { type ReactNode, useId, useState } from 'react';
import { type Element, elements } from '../../../engine/line/drive.js';
import { elementWords } from '../../../engine/report/commissioning/words.js';
import { createText, problemOf } from '../../api/client.js';
import type { Problem } from '../../api/types.js';
import { ProblemBox } from '../../components/FindingItem.js';
import { NumberEntry } from '../../components/NumberEntry.js';
import { driveText, fieldsOf, type NewDriveValues, refuseName } from './newDrive.js';

interface Props {
  readonly name: string;
  /** Drives that there are. */
  readonly names: readonly string[];
  readonly onMade: (name: string) => void;
}

/** A drive file from the nameplate: nothing of it is guessed, and what is not known stays out. */
export function NewDrive({ name, names, onMade }: Props): ReactNode {
  const client = useQueryClient();
  const id = useId();
  const [values, setValues] = useState<NewDriveValues>({
    file: name,
    name,
    element: 'pull-roll',
    nameplate: {},
  });
  const [isTouched, setTouched] = useState(false);
  const [problem, setProblem] = useState<Problem>();
  const why = refuseName(values.file, names);
  const make = async (): Promise<void> => {
    setTouched(true);
    if (why !== undefined) return;
    setProblem(undefined);
    try {
      const path = `/api/drives/${encodeURIComponent(values.file)}`;
      await createText(path, driveText({ ...values, name: values.name || values.file }));
      await client.invalidateQueries({ queryKey: ['drives'] });
      onMade(values.file);
    } catch (error) {
      setProblem(problemOf(error));
    }
  };
  return (
    <form
      className="new-drive"
      aria-label="New drive"
      onSubmit={(e) => {
        e.preventDefault();
        void make();
      }}
    >
      <h2>New drive</h2>
      <div className="entry">
        <label htmlFor={`${id}-file`}>Name of its file</label>
        <span className="field">
          <input
            id={`${id}-file`}
            type="text"
            className="words"
            value={values.file}
            spellCheck={false}
            aria-invalid={isTouched && why !== undefined}
            aria-describedby={`${id}-why`}
            onChange={(e) => setValues({ ...values, file: e.target.value })}
          />
        </span>
        <p id={`${id}-why`} className="soft note">
          {isTouched && why !== undefined
            ? why
            : `drives/${values.file || 'NAME'}.yaml; recordings are called NAME.VISIT`}
        </p>
      </div>
      <div className="entry">
        <label htmlFor={`${id}-name`}>What the plant calls it</label>
        <span className="field">
          <input
            id={`${id}-name`}
            type="text"
            className="words"
            value={values.name}
            onChange={(e) => setValues({ ...values, name: e.target.value })}
          />
        </span>
      </div>
      <div className="entry">
        <label htmlFor={`${id}-element`}>What it moves</label>
        <span className="field">
          <select
            id={`${id}-element`}
            value={values.element}
            onChange={(e) => setValues({ ...values, element: e.target.value as Element })}
          >
            {elements.map((element) => (
              <option key={element} value={element}>
                {elementWords[element]}
              </option>
            ))}
          </select>
        </span>
      </div>
      {fieldsOf(values.element).map(({ key, label, quantity }) => (
        <NumberEntry
          key={key}
          label={label}
          {...(quantity && { quantity })}
          value={values.nameplate[key]}
          refuse={(v) => (v > 0 ? undefined : 'it is above 0')}
          onChange={(v) => setValues({ ...values, nameplate: { ...values.nameplate, [key]: v } })}
        />
      ))}
      <p className="soft">
        From the nameplate and the drawing. What is not known stays empty; rated torque is needed where the
        recording states torque in percent, the torque constant where it states a current.
      </p>
      {problem && <ProblemBox problem={problem} />}
      <button type="submit" className="strong">
        Make the drive file
      </button>
    </form>
  );
}
