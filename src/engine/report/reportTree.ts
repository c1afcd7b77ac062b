import type { Severity } from '../findings.js';
import type { LineDrawing } from './line/model.js';
import type { Figure } from './svg/figure.js';

/**
 * A report as plain data: what is said, in order, with every number already formatted. Renderers (html.ts) decide only
 * how it looks. Strings are plain text; a renderer escapes them.
 */
export interface ReportTree {
  readonly title: string;
  readonly subtitle: string;
  /** A label that must not be overlooked, such as that all data are invented. */
  readonly label?: string;
  readonly facts: readonly Fact[];
  readonly sections: readonly Section[];
}

export interface Section {
  /** Anchor; unique in the report. */
  readonly id: string;
  readonly title: string;
  /** One line under the title. */
  readonly lead?: string;
  /** True: starts on a new page in print. */
  readonly isOwnPage: boolean;
  readonly blocks: readonly Block[];
}

export interface Fact {
  readonly label: string;
  readonly value: string;
}

export type Block =
  | { readonly kind: 'heading'; readonly text: string }
  | { readonly kind: 'paragraph'; readonly text: string }
  | { readonly kind: 'list'; readonly items: readonly string[] }
  | { readonly kind: 'facts'; readonly facts: readonly Fact[] }
  | { readonly kind: 'table'; readonly table: Table }
  | { readonly kind: 'figure'; readonly figure: Figure; readonly caption: string }
  | { readonly kind: 'lineDrawing'; readonly drawing: LineDrawing; readonly caption: string }
  | { readonly kind: 'findings'; readonly findings: readonly FindingItem[] }
  | { readonly kind: 'cautions'; readonly items: readonly string[] }
  /** Closed on screen, open in print. */
  | { readonly kind: 'details'; readonly summary: string; readonly blocks: readonly Block[] }
  /** Blank lines to be filled in by hand: one row a state, one column a field. */
  | { readonly kind: 'signOff'; readonly states: readonly string[]; readonly fields: readonly string[] };

export interface Table {
  readonly caption: string;
  readonly columns: readonly Column[];
  readonly rows: readonly (readonly Cell[])[];
}

export interface Column {
  readonly heading: string;
  readonly unit?: string;
  readonly align: 'text' | 'number';
}

export interface Cell {
  readonly text: string;
  /** Small print under the text. */
  readonly note?: string;
  /** missing: the number is not there and the text says why. The others carry a sign, never colour alone. */
  readonly tone?: 'missing' | Severity | 'good';
  /** Anchor of a section that the cell leads to. */
  readonly to?: string;
}

export interface FindingItem {
  readonly severity: Severity;
  readonly code: string;
  readonly message: string;
  /** Where it was seen; empty when it concerns the whole recording. */
  readonly where: string;
  readonly next: string;
}
