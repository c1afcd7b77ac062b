import { useQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import type { Drive } from '../../../engine/line/drive.js';
import { toDrive } from '../../../engine/project/drive.js';
import { fromIdentificationDocument } from '../../../engine/project/identification.js';
import { identificationName } from '../../../engine/project/visit.js';
import { queries } from '../../api/queries.js';
import type { NamedResult } from './figures.js';

export interface KeptResult extends NamedResult {
  /** The drive as it was stated then. */
  readonly drive: Drive;
  readonly name: string;
  readonly visit: string;
}

/** A kept result that another one is compared with; undefined until it has come. */
export function useAgainst(name: string | undefined): KeptResult | undefined {
  const { data } = useQuery({ ...queries.identification(name ?? ''), enabled: name !== undefined });
  return useMemo(() => {
    if (data === undefined || name === undefined) return undefined;
    const parts = identificationName(`${name}.json`);
    const visit = parts?.visit ?? name;
    const words = parts !== undefined && parts.count > 1 ? `${visit} (${parts.count})` : visit;
    return {
      name,
      visit,
      words,
      drive: toDrive(data.drive),
      identification: fromIdentificationDocument(data),
    };
  }, [data, name]);
}
