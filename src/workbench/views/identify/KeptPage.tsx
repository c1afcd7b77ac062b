import { type ReactNode, useMemo, useState } from 'react';
import { toDrive } from '../../../engine/project/drive.js';
import type { IdentificationDocument } from '../../../engine/project/identification.js';
import { identificationName } from '../../../engine/project/visit.js';
import { Sign } from '../../components/Sign.js';
import { Headline } from './Headline.js';
import { Plots } from './Plots.js';
import { ResultPanel } from './ResultPanel.js';
import { shownResult } from './shown.js';

interface Props {
  readonly document: IdentificationDocument;
  readonly name: string;
  readonly drive: string;
}

/** A kept result whose recording is no longer in the folder: what it says, and nothing to take out of it. */
export function KeptPage({ document, name, drive }: Props): ReactNode {
  const identification = useMemo(() => shownResult({ document }), [document]);
  const motor = useMemo(() => toDrive(document.drive), [document]);
  const [lit, setLit] = useState<string>();
  const visit = identificationName(`${name}.json`)?.visit ?? name;
  const shown = useMemo(() => ({ identification, words: visit }), [identification, visit]);
  return (
    <div className="identify">
      <div className="notice" role="status">
        <Sign kind="info" />
        <div>
          <p>
            {document.inputs.file}, which this result was made from, is not in the folder: it is shown as it
            was kept in identifications/{name}.json.
          </p>
          <p className="soft">
            Next: put the recording back into exports/ to take stretches out of it or in.
          </p>
        </div>
      </div>
      <Headline identification={identification} isBehind={false} />
      <div className="columns">
        <Plots drive={motor} driveName={drive} shown={shown} lit={lit} onLight={setLit} />
        <ResultPanel identification={identification} document={document} driveName={drive} />
      </div>
    </div>
  );
}
