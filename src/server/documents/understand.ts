import { isTautlineError, type TautlineError } from '../../engine/errors.js';
import { checkLine } from '../../engine/line/check/lineCheck.js';
import { type LineDocument, lineSchema } from '../../engine/project/line/lineDocument.js';
import { parseDriveDocument } from '../../node/documents/readDrive.js';
import { parsePlacedDocument } from '../../node/documents/yamlDocument.js';
import { resolveReferences } from '../../node/lineFolder/readLine.js';
import { parseProduct } from '../../node/lineFolder/readProduct.js';
import { parseRoll } from '../../node/lineFolder/readRoll.js';
import type { Understand } from './editable.js';

export const understandDrive: Understand = (text, file) => ({
  document: parseDriveDocument(text, file),
  findings: [],
});

export const understandProduct: Understand = (text, file) => ({
  document: parseProduct(text, file).document,
  findings: [],
});

export const understandRoll: Understand = (text, file) => ({
  document: parseRoll(text, file).document,
  findings: [],
});

/**
 * A line with what its check finds. A file that it refers to and that cannot be read leaves the line itself valid, so that it can still be edited;
 * the error is told beside it.
 */
export const understandLine =
  (folder: string): Understand =>
  async (text, file) => {
    const { data, placed } = parsePlacedDocument(text, file, lineSchema);
    const document = data as LineDocument;
    try {
      const { findings } = checkLine(await resolveReferences(folder, document, placed));
      return { document, findings: findings.map((f) => ({ ...f, where: placed(f.where) })) };
    } catch (error) {
      if (!isTautlineError(error) || !isOfAnotherFile(error)) throw error;
      return { document, findings: [], error };
    }
  };

/** Errors of files that the line refers to say from where. A path that may not be followed is the line's own fault. */
const isOfAnotherFile = (error: TautlineError): boolean =>
  error.code !== 'path_outside_folder' &&
  (error.where.from !== undefined || (error.where.file ?? 'line.yaml') !== 'line.yaml');
