import { fontSize, textWidth } from '../svg/legend.js';

/** Free edge of a drawing, in drawing units. */
export const margin = 8;
/** Height of a text of 12 drawing units, and the distance of two of its lines. */
export const textHeight = 13;
export const lineHeight = 15;

/** Width of a text of 12 drawing units. */
export const smallWidth = (text: string, isBold = false): number => (12 / fontSize) * textWidth(text, isBold);
