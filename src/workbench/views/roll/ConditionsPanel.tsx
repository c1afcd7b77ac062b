import type { ReactNode } from 'react';
import type { RollDocument } from '../../../engine/project/roll/rollDocument.js';
import { NumberEntry } from '../../components/NumberEntry.js';
import type { DraftHandle } from '../../state/drafts.js';
import { setAcceleration } from './editHandling.js';
import { setAir, setBrakedAt, setFilmShare, setNip, setSpeed, setStop } from './editRoll.js';

interface Props {
  readonly document: RollDocument;
  readonly text: string;
  readonly handle: DraftHandle;
}

const notNegative = (v: number): string | undefined => (v >= 0 ? undefined : 'it cannot be below 0');

/** What a roll is wound and stopped with, apart from its schedules. */
export function ConditionsPanel({ document, text, handle }: Props): ReactNode {
  const { wind, stop, web } = document;
  const hasNip = wind.nip !== undefined || (wind.nip_N_per_m ?? 0) > 0;
  return (
    <>
      {wind.nip === undefined && (
        <NumberEntry
          label="Nip force"
          quantity="tensionPerWidth"
          value={wind.nip_N_per_m}
          refuse={notNegative}
          onChange={(v) => handle.edit(setNip(text, v), 'nip force')}
        />
      )}
      <NumberEntry
        label="Web speed"
        quantity="speed"
        value={document.speed_m_per_s}
        refuse={notNegative}
        onChange={(v) => handle.edit(setSpeed(text, v), 'web speed')}
      />
      <NumberEntry
        label="Starts with"
        quantity="acceleration"
        value={document.acceleration_m_per_s2}
        refuse={notNegative}
        onChange={(v) => handle.edit(setAcceleration(text, v), 'start')}
        {...(document.acceleration_m_per_s2 === undefined && { note: 'no start is judged' })}
      />
      <NumberEntry
        label="Stops with"
        quantity="acceleration"
        value={stop?.deceleration_m_per_s2}
        refuse={notNegative}
        onChange={(v) => handle.edit(setStop(text, v), 'stop')}
        {...(stop === undefined && { note: 'no stop is judged' })}
      />
      {stop && (
        <div className="entry">
          <label htmlFor="braked-at">Braked at the</label>
          <select
            id="braked-at"
            value={stop.braked_at ?? 'core'}
            onChange={(e) =>
              handle.edit(setBrakedAt(text, e.target.value as 'core' | 'surface'), 'where it is braked')
            }
          >
            <option>core</option>
            <option>surface</option>
          </select>
        </div>
      )}
      <div className="entry">
        <label htmlFor="with-air">Takes air along</label>
        <span>
          <input
            id="with-air"
            type="checkbox"
            checked={wind.air !== undefined}
            onChange={(e) => handle.edit(setAir(text, e.target.checked), 'air between the laps')}
          />
        </span>
        {wind.air && web.permeable === true && (
          <p className="note soft">none stays: this web lets air through</p>
        )}
      </div>
      {wind.air && (
        <NumberEntry
          label="Film that stays, %"
          value={wind.air.film_share === undefined ? undefined : 100 * wind.air.film_share}
          refuse={(v) => (v >= 0 && v <= 100 ? undefined : 'it lies between 0 and 100 %')}
          onChange={(v) => handle.edit(setFilmShare(text, Number((v / 100).toFixed(6))), 'film that stays')}
          {...(wind.air.film_share === undefined && {
            note: hasNip ? 'all of it, as without a nip; measure it' : 'all of it',
          })}
        />
      )}
    </>
  );
}
