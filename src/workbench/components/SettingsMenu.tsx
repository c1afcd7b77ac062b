import { type ReactNode, useState } from 'react';
import { Button, Dialog, DialogTrigger, Popover } from 'react-aria-components';
import { quantity } from '../../engine/units/quantity.js';
import { applyTheme, storedTheme, type Theme } from '../state/theme.js';
import { choosable, offered, useUnits } from '../state/units.js';

const themes: readonly [Theme, string][] = [
  ['system', 'As the system'],
  ['light', 'Light'],
  ['dark', 'Dark'],
];

/** Units and colours. */
export function SettingsMenu(): ReactNode {
  // inside the header, so that it belongs to a landmark
  const [place, setPlace] = useState<HTMLElement | null>(null);
  return (
    <div className="settings" ref={setPlace}>
      <DialogTrigger>
        <Button>Units and colours</Button>
        {/* nothing is modal that can be undone */}
        <Popover
          className="popover"
          placement="bottom end"
          isNonModal
          {...(place && { UNSTABLE_portalContainer: place })}
        >
          <Dialog aria-label="Units and colours">
            <Settings />
          </Dialog>
        </Popover>
      </DialogTrigger>
    </div>
  );
}

function Settings(): ReactNode {
  const units = useUnits();
  const [theme, setTheme] = useState(storedTheme);
  return (
    <>
      <fieldset className="choice">
        <legend>Units</legend>
        {(['si', 'us'] as const).map((system) => (
          <label key={system}>
            <input
              type="radio"
              name="system"
              checked={units.system === system}
              onChange={() => units.setSystem(system)}
            />
            {system === 'si' ? 'SI' : 'US'}
          </label>
        ))}
      </fieldset>
      <div className="unit-list">
        {choosable.map((key) => (
          <label key={key}>
            {quantity(key).label}
            <select value={units.unit(key).id} onChange={(e) => units.setUnit(key, e.target.value)}>
              {offered(key).map((u) => (
                <option key={u.id} value={u.id}>
                  {u.label}
                </option>
              ))}
            </select>
          </label>
        ))}
      </div>
      <fieldset className="choice">
        <legend>Colours</legend>
        {themes.map(([value, label]) => (
          <label key={value}>
            <input
              type="radio"
              name="theme"
              checked={theme === value}
              onChange={() => {
                setTheme(value);
                applyTheme(value);
              }}
            />
            {label}
          </label>
        ))}
      </fieldset>
    </>
  );
}
