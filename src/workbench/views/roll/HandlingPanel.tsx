import type { ReactNode } from 'react';
import type { RollDocument } from '../../../engine/project/roll/rollDocument.js';
import { NumberEntry } from '../../components/NumberEntry.js';
import { TypedEntry } from '../../components/TypedEntry.js';
import type { DraftHandle } from '../../state/drafts.js';
import { readNumber, writeNumber } from '../../state/numberEntry.js';
import { useUnits } from '../../state/units.js';
import {
  type LimitName,
  setLimit,
  setShear,
  setStruckAt,
  setUnwindBrakedAt,
  setUnwindRamp,
  setUnwindTension,
} from './editHandling.js';

interface Props {
  readonly document: RollDocument;
  readonly text: string;
  readonly handle: DraftHandle;
}

const notNegative = (v: number): string | undefined => (v >= 0 ? undefined : 'it cannot be below 0');

/** How the roll is unwound later, what it is held against, and lines on its side: folded, since they are stated once. */
export function HandlingPanel(props: Props): ReactNode {
  return (
    <section className="panel" aria-labelledby="handling-title">
      <h2 id="handling-title">Handling and limits</h2>
      <details>
        <summary>Unwound later</summary>
        <UnwindFields {...props} />
      </details>
      <details>
        <summary>Limits of pressure</summary>
        <LimitFields {...props} />
      </details>
      <details>
        <summary>Lines on its side</summary>
        <LineFields {...props} />
      </details>
    </section>
  );
}

function UnwindFields({ document: { unwind }, text, handle }: Props): ReactNode {
  const ramp = (label: string, what: 'acceleration' | 'deceleration', note: string): ReactNode => {
    const value = unwind?.[`${what}_m_per_s2`];
    return (
      <NumberEntry
        label={label}
        quantity="acceleration"
        value={value}
        refuse={notNegative}
        onChange={(v) => handle.edit(setUnwindRamp(text, what, v), `unwind: ${what}`)}
        {...(value === undefined && { note })}
      />
    );
  };
  return (
    <>
      <NumberEntry
        label="Unwind tension"
        quantity="tensionPerWidth"
        value={unwind?.tension_N_per_m}
        refuse={notNegative}
        onChange={(v) => handle.edit(setUnwindTension(text, v), 'unwind: tension')}
        {...(unwind === undefined && { note: 'unwinding is not judged' })}
      />
      {unwind && (
        <>
          {ramp('Unwind starts with', 'acceleration', 'no start is judged')}
          {ramp('Unwind stops with', 'deceleration', 'no stop is judged')}
          <div className="entry">
            <label htmlFor="unwind-braked-at">Unwind braked at the</label>
            <select
              id="unwind-braked-at"
              value={unwind.braked_at ?? 'core'}
              onChange={(e) =>
                handle.edit(
                  setUnwindBrakedAt(text, e.target.value as 'core' | 'surface'),
                  'where the unwind is braked',
                )
              }
            >
              <option>core</option>
              <option>surface</option>
            </select>
          </div>
        </>
      )}
    </>
  );
}

const limitLabels = {
  highest_pressure: 'Highest pressure',
  highest_core_pressure: 'Highest on the core',
  lowest_outer_pressure: 'Lowest near the outside',
} as const satisfies Record<LimitName, string>;

function LimitFields({ document: { limits }, text, handle }: Props): ReactNode {
  return (Object.keys(limitLabels) as LimitName[]).map((name) => (
    <NumberEntry
      key={name}
      label={limitLabels[name]}
      quantity="pressure"
      value={limits?.[`${name}_Pa`]}
      refuse={notNegative}
      onChange={(v) => handle.edit(setLimit(text, name, v), limitLabels[name].toLowerCase())}
    />
  ));
}

function LineFields({ document: { j_line: line }, text, handle }: Props): ReactNode {
  return (
    <>
      <DiametersEntry
        label="Struck at diameters"
        value={line?.struck_at_diameters_m ?? []}
        onChange={(all) => handle.edit(setStruckAt(text, all), 'lines on its side')}
      />
      {line && (
        <>
          <NumberEntry
            label="Shear over radial modulus"
            value={line.shear_share}
            refuse={(v) => (v > 0 ? undefined : 'it lies above 0')}
            onChange={(share) => handle.edit(setShear(text, { share }), 'shear of the stack')}
          />
          <NumberEntry
            label="or shear modulus"
            quantity="modulus"
            value={line.shear_modulus_Pa}
            refuse={(v) => (v > 0 ? undefined : 'it lies above 0')}
            onChange={(modulus) => handle.edit(setShear(text, { modulus }), 'shear of the stack')}
          />
          {line.torque_step === undefined && (
            <p className="soft">
              A new line begins with a tenth of the radial modulus, an assumption. Measure it: one torque step
              at the core while the outside is held, stated as j_line.torque_step in the file.
            </p>
          )}
          {line.torque_step && (
            <p className="soft">
              Now from a torque step in the file, j_line.torque_step; a number here takes its place.
            </p>
          )}
        </>
      )}
    </>
  );
}

/** Lengths in the unit shown, parted by semicolons or spaces. */
function DiametersEntry({
  label,
  value,
  onChange,
}: {
  readonly label: string;
  readonly value: readonly number[];
  readonly onChange: (all: number[]) => void;
}): ReactNode {
  const units = useUnits();
  const { factor, label: unit } = units.unit('length');
  return (
    <TypedEntry
      label={label}
      shown={value.map((d) => writeNumber(d / factor, units.style)).join('; ')}
      unit={unit}
      note={value.length === 0 ? 'no line is struck' : 'parted by semicolons'}
      take={(text) => {
        const words = text.split(/[;\s]+/).filter((w) => w !== '');
        const numbers = words.map((w) => readNumber(w, units.style));
        const wrong = words.find((_, k) => !((numbers[k] ?? Number.NaN) > 0));
        if (wrong !== undefined)
          return `“${wrong}” is no diameter; type numbers above 0, parted by semicolons`;
        onChange(numbers.map((n) => (n as number) * factor));
        return undefined;
      }}
    />
  );
}
