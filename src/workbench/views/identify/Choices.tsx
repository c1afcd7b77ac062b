import { type ReactNode, useState } from 'react';
import { readNumber, writeNumber } from '../../state/numberEntry.js';
import { useUnits } from '../../state/units.js';

interface Props {
  /** Of the entry of the delay. */
  readonly id: string;
  /** How late the torque is taken to be [s]; undefined: as the recording shows it. */
  readonly delay: number | undefined;
  readonly flipTorque: boolean;
  readonly onChange: (changes: Readonly<Record<string, string | undefined>>) => void;
}

/** What may be stated besides the stretches: the delay between torque and speed, and the sign of the torque. */
export function Choices({ id, delay, flipTorque, onChange }: Props): ReactNode {
  const { style } = useUnits();
  const shown = delay === undefined ? '' : writeNumber(1000 * delay, style);
  const [text, setText] = useState(shown);
  const number = text.trim() === '' ? undefined : readNumber(text, style);
  const isWrong = text.trim() !== '' && (number === undefined || Math.abs(number) > 10_000);
  const take = (): void => {
    if (isWrong || text === shown) return;
    onChange({ delay: number === undefined ? undefined : String(number / 1000) });
  };
  return (
    <section aria-label="Choices">
      <h2>Choices</h2>
      <div className="entry">
        <label htmlFor={id}>Torque is late by</label>
        <span className="field">
          <input
            id={id}
            type="text"
            inputMode="decimal"
            autoComplete="off"
            placeholder="as recorded"
            value={text}
            aria-invalid={isWrong}
            aria-describedby={`${id}-note`}
            onChange={(e) => setText(e.target.value)}
            onBlur={take}
            onKeyDown={(e) => {
              if (e.key === 'Enter') take();
              if (e.key === 'Escape') setText(shown);
            }}
          />
          <span className="unit">ms</span>
        </span>
        <p id={`${id}-note`} className="soft note">
          left empty, it is found from the corners of the ramps; 0 takes none out
        </p>
      </div>
      <label className="row">
        <input
          type="checkbox"
          checked={flipTorque}
          onChange={(e) => onChange({ torque: e.target.checked ? 'turned' : undefined })}
        />
        Turn the sign of the torque
      </label>
    </section>
  );
}
