import { type ReactNode, useEffect, useRef, useState } from 'react';
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
  const units = useUnits();
  const [isOpen, setOpen] = useState(false);
  const [theme, setTheme] = useState(storedTheme);
  const box = useRef<HTMLDivElement>(null);
  useEffect(() => {
    if (!isOpen) return;
    const onDown = (e: PointerEvent): void => {
      if (!box.current?.contains(e.target as Node)) setOpen(false);
    };
    window.addEventListener('pointerdown', onDown);
    return () => window.removeEventListener('pointerdown', onDown);
  }, [isOpen]);
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: Escape inside closes it, from whichever control has the focus
    <div
      className="settings"
      ref={box}
      onKeyDown={(e) => {
        if (e.key !== 'Escape' || !isOpen) return;
        setOpen(false);
        box.current?.querySelector('button')?.focus();
      }}
    >
      <button type="button" aria-expanded={isOpen} aria-controls="settings" onClick={() => setOpen(!isOpen)}>
        Units and colours
      </button>
      {isOpen && (
        <section id="settings" className="popover" aria-label="Units and colours">
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
        </section>
      )}
    </div>
  );
}
