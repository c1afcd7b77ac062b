/** Font size of all text in a figure, in drawing units. */
export const fontSize = 13;

/** Something set in a row: a swatch (0 for none) and its text. */
export interface RowItem {
  readonly text: string;
  readonly swatch: number;
  readonly isBold: boolean;
}

export interface PlacedItem<T extends RowItem> {
  readonly item: T;
  /** Left end of the swatch, and the text's baseline. */
  readonly x: number;
  readonly baseline: number;
  readonly width: number;
}

const itemGap = 18;
const swatchGap = 6;
const rowHeight = 19;

/**
 * Width of a text in drawing units. There is no font to ask, so each character counts with the width it has in a wide
 * system face: rather too much room than an overlap.
 */
export function textWidth(text: string, isBold = false): number {
  let em = 0;
  for (const c of text) {
    em += /[iljtfrI.,:;'’|!()[\] ]/.test(c)
      ? 0.36
      : /[mwMW%—@]/.test(c)
        ? 0.92
        : /[A-Z]/.test(c)
          ? 0.7
          : 0.59;
  }
  return em * fontSize * (isBold ? 1.16 : 1);
}

/**
 * Items one after the other from left to right, on a new row where the next would pass `right`. The rows stand above
 * the plotting area, so a legend can never cover data. Returns where each stands and the height of all rows.
 */
export function flowRows<T extends RowItem>(
  items: readonly T[],
  left: number,
  right: number,
  top: number,
): { placed: PlacedItem<T>[]; height: number } {
  const placed: PlacedItem<T>[] = [];
  let x = left;
  let row = 0;
  for (const item of items) {
    const width = item.swatch + (item.swatch > 0 ? swatchGap : 0) + textWidth(item.text, item.isBold);
    if (x > left && x + width > right) {
      row++;
      x = left;
    }
    placed.push({ item, x, baseline: top + row * rowHeight + fontSize, width });
    x += width + itemGap;
  }
  return { placed, height: items.length === 0 ? 0 : (row + 1) * rowHeight };
}

/** Left end of an item's text. */
export const textStart = (p: PlacedItem<RowItem>): number =>
  p.x + p.item.swatch + (p.item.swatch > 0 ? swatchGap : 0);
