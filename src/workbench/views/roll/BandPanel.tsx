import type { ReactNode } from 'react';
import type { RollBand } from '../../../engine/program/roll/rollBand.js';
import { shortNumber } from '../../../engine/report/format.js';
import { spreadWords } from '../../../engine/report/roll/spreadWords.js';
import type { useBand } from './useBand.js';

/** How sure a roll is: wound many times with its web as uncertain as stated, else as usual. */
export function BandPanel({ made }: { readonly made: ReturnType<typeof useBand> }): ReactNode {
  const { band } = made;
  return (
    <section className="panel" aria-labelledby="band-title">
      <h2 id="band-title">How sure</h2>
      <div className="row">
        {band.state === 'none' && (
          <button type="button" onClick={made.start}>
            Wind it many times
          </button>
        )}
        {band.state === 'running' && (
          <>
            <progress value={band.done} max={band.of} aria-label="Rolls wound" />
            <span className="soft" role="status">
              {band.done} of {band.of} rolls
            </span>
          </>
        )}
        {band.state !== 'none' && (
          <button type="button" onClick={made.drop}>
            {band.state === 'running' ? 'Stop' : 'Hide the band'}
          </button>
        )}
      </div>
      {band.state === 'done' && <BandWords band={band.band} />}
    </section>
  );
}

/** A band in words: what was drawn, and what comes of it. */
export function BandWords({ band }: { readonly band: RollBand }): ReactNode {
  const { spread, smallestSlip: slip, slipShare } = band;
  return (
    <>
      {slip !== undefined && slipShare !== undefined && (
        <p>
          Smallest slip margin from {shortNumber(slip.low)} to {shortNumber(slip.high)}; layers slip in{' '}
          {shortNumber(100 * slipShare)} % of {band.rolls} rolls.
        </p>
      )}
      <p className="soft">Drawn {spreadWords(spread)}; half widths of 95 %.</p>
    </>
  );
}
