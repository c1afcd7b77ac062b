import type { ErrorCode, Where } from '../../errors.js';
import type { UnitSystem } from '../../units/quantity.js';
import type { DriveDocument } from '../drive.js';
import type { IdentificationDocument } from '../identification.js';
import type { LineDocument } from '../line/lineDocument.js';
import type { ProductDocument } from '../product/productDocument.js';

/** Why a file cannot be read, as plain data: a coded error without its stack. */
export interface FileProblem {
  readonly code: ErrorCode;
  readonly message: string;
  readonly where: Where;
  readonly next: string;
}

/** A file of the line folder, read or not. `file` is its path from the line folder, with slashes. */
export type BoardFile<T> =
  | { readonly file: string; readonly document: T }
  | { readonly file: string; readonly problem: FileProblem };

/** The document of a file, or undefined where it cannot be read. Not a relation [1]. Source: definition. */
export const documentOf = <T>(file: BoardFile<T> | undefined): T | undefined =>
  file !== undefined && 'document' in file ? file.document : undefined;

/** The problem of a file, or undefined where it can be read. Not a relation [1]. Source: definition. */
export const problemOf = <T>(file: BoardFile<T> | undefined): FileProblem | undefined =>
  file !== undefined && 'problem' in file ? file.problem : undefined;

/** A recording as far as the board asks: what its bytes are and what stands beside them, never its values. */
export interface BoardRecording {
  readonly file: string;
  /** Checksum of its bytes; undefined where they cannot be read. */
  readonly sha256?: string;
  /** Checksum of the choices in the document beside it; undefined where there is none. */
  readonly choices_sha256?: string;
  /** Bytes or document beside it cannot be read. */
  readonly problem?: FileProblem;
}

/** Everything that the board follows from. The order of the lists does not matter. */
export interface BoardInput {
  readonly line: BoardFile<LineDocument>;
  readonly drives: readonly BoardFile<DriveDocument>[];
  readonly products: readonly BoardFile<ProductDocument>[];
  readonly identifications: readonly BoardFile<IdentificationDocument>[];
  readonly recordings: readonly BoardRecording[];
  /** Day on which the board is looked at, ISO 8601; without it no visit is due. */
  readonly today?: string;
  /** Units of the numbers in reasons; SI when left out. */
  readonly units?: UnitSystem;
}

/** A path without "./" and with slashes only, as files of the input are named. Not a relation [1]. Source: definition. */
export const plainPath = (path: string): string =>
  path
    .split(/[/\\]/)
    .filter((part) => part !== '' && part !== '.')
    .join('/');
