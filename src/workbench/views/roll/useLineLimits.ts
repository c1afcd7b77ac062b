import { useQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import type { Finding } from '../../../engine/findings.js';
import { type LineLimits, lineLimits } from '../../../engine/program/roll/lineLimits/lineLimits.js';
import { toProduct } from '../../../engine/project/product/toProduct.js';
import { type RollDocument, toRollInput } from '../../../engine/project/roll/rollDocument.js';
import { queries } from '../../api/queries.js';
import { useUnits } from '../../state/units.js';
import { useLine } from '../line/useLine.js';

/** What the line of this folder and the product of the roll's name allow for it. */
export interface LimitsOfLine {
  readonly limits?: LineLimits;
  /** Name of the product, where there is one. */
  readonly product?: string;
  readonly findings: readonly Finding[];
}

const nothing: LimitsOfLine = { findings: [] };

/** Limits of the line for a roll; nothing while they are not known, or where roll or line cannot be read (their views say why). */
export function useLineLimits(document: RollDocument, name: string): LimitsOfLine {
  const { system } = useUnits();
  const { line } = useLine();
  const products = useQuery(queries.products());
  const isOfProduct = products.data?.some((p) => p.name === name) === true;
  const product = useQuery({ ...queries.product(name), enabled: isOfProduct });
  return useMemo(() => {
    if (line === undefined || (isOfProduct && product.data === undefined)) return nothing;
    try {
      const stated = product.data?.document;
      const found = lineLimits(toRollInput(document), line, stated && toProduct(stated), system);
      return 'winder' in found
        ? { limits: found, findings: found.findings, ...(stated && { product: name }) }
        : found;
    } catch {
      return nothing;
    }
  }, [document, line, isOfProduct, product.data, name, system]);
}
