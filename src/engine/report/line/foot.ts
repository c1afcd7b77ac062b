import { unitById } from '../../units/quantity.js';
import { escapeMarkup } from '../escape.js';
import { flowRows, type RowItem, textStart } from '../svg/legend.js';
import { coordinate as c } from '../svg/path.js';
import { niceStep } from '../svg/scale.js';
import type { DrawnCircle, LineDrawing } from './model.js';
import { lineHeight, margin, smallWidth } from './sheet.js';
import { dancerMark, driveMark, loadCellMark, nipMark, type OnSheet, travelMark } from './symbols.js';

/** Scale bar, legend of the marks that occur, and the problems in words. */
export function drawFoot(
  drawing: LineDrawing,
  scale: number,
  width: number,
  top: number,
): { svg: string; bottom: number } {
  const bar = scaleBar(drawing, scale, top);
  const rows = flowRows(legendItems(drawing), margin + bar.width + 28, width - margin, top);
  const legend = rows.placed.map(
    (p) =>
      p.item.draw(p.x + p.item.swatch / 2, p.baseline - 4.5) +
      `<text class="detail" x="${c(textStart(p))}" y="${c(p.baseline)}">${escapeMarkup(p.item.text)}</text>`,
  );
  let y = top + Math.max(rows.height, 22) + 4;
  const problems = drawing.problems.flatMap((p) =>
    wrapText(`${p.message}; ${p.next}.`, width - 2 * margin - 30).map((line, k) => {
      y += lineHeight + (k === 0 ? 3 : 0);
      const mark =
        k === 0 ? `<text class="abnormal" x="${margin}" y="${c(y)}">${escapeMarkup(p.mark)}</text>` : '';
      return `${mark}<text class="normal" x="${margin + 26}" y="${c(y)}">${escapeMarkup(line)}</text>`;
    }),
  );
  return { svg: bar.svg + legend.join('') + problems.join(''), bottom: y + (problems.length > 0 ? 4 : 0) };
}

function scaleBar(drawing: LineDrawing, scale: number, top: number): { svg: string; width: number } {
  const unit = unitById('webLength', drawing.system === 'us' ? 'ft' : 'm');
  const factor = unit?.factor ?? 1;
  const step = niceStep(100 / (scale * factor), 1);
  const width = step * factor * scale;
  const y = top + 13;
  const label = `${Number(step.toPrecision(1))} ${unit?.label ?? 'm'}`;
  return {
    svg:
      `<path class="scale" d="M${margin} ${c(y - 4)}v8M${margin} ${c(y)}h${c(width)}M${c(margin + width)} ${c(y - 4)}v8"/>` +
      `<text class="detail" x="${c(margin + width / 2)}" y="${c(y - 5)}" text-anchor="middle">${escapeMarkup(label)}</text>`,
    width: Math.max(width, smallWidth(label)),
  };
}

interface LegendItem extends RowItem {
  /** Draws the swatch about (x, y). */
  readonly draw: (x: number, y: number) => string;
}

function legendItems(drawing: LineDrawing): LegendItem[] {
  const has = (test: (k: DrawnCircle) => boolean): boolean => drawing.circles.some(test);
  const grouped = (draw: (x: number, y: number) => string) => (x: number, y: number) =>
    `<g class="normal">${draw(x, y)}</g>`;
  const roller = (x: number, y: number): OnSheet => ({ x, y, r: 4, core: 0 });
  const items: (LegendItem | false)[] = [
    drawing.spans.length > 0 &&
      item(
        'web, direction of travel',
        26,
        (x, y) =>
          `<path class="web" d="M${c(x - 13)} ${c(y)}h26"/><path class="travel" d="${travelMark(x, y, 0)}"/>`,
      ),
    has((k) => k.isDriven) && item('driven', 14, (x, y) => driveMark(x, y + 1, 6)),
    has((k) => k.role === 'load-cell') &&
      item(
        'load cell',
        26,
        (x, y) =>
          `<circle class="body" cx="${c(x - 8)}" cy="${c(y)}" r="4"/>${loadCellMark(roller(x - 8, y), 0)}`,
      ),
    has((k) => k.role === 'dancer') &&
      item(
        'dancer',
        34,
        (x, y) =>
          `<circle class="body" cx="${c(x - 12)}" cy="${c(y)}" r="4"/>${dancerMark(roller(x - 12, y), 0)}`,
      ),
    has((k) => k.role === 'spreader') &&
      item(
        'spreader',
        16,
        (x, y) => `<g class="spreader"><circle class="body" cx="${c(x)}" cy="${c(y)}" r="7"/></g>`,
      ),
    has((k) => k.role === 'dryer') &&
      item(
        'dryer',
        16,
        (x, y) =>
          `<circle class="body" cx="${c(x)}" cy="${c(y)}" r="7.5"/><circle class="shell" cx="${c(x)}" cy="${c(y)}" r="4.5"/>`,
      ),
    drawing.carriages.length > 0 &&
      item('carriage', 22, (x, y) => `<path class="bar" d="M${c(x - 8)} ${c(y)}h16"/>`),
    drawing.nips.length > 0 && item('nip', 18, (x, y) => nipMark(x, y, 0)),
  ];
  function item(text: string, swatch: number, draw: LegendItem['draw']): LegendItem {
    return { text, swatch, isBold: false, draw: grouped(draw) };
  }
  return items.filter((i) => i !== false);
}

/** Text cut at spaces into lines that fit; a word longer than a line stands alone. */
function wrapText(text: string, width: number): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
    const longer = line === '' ? word : `${line} ${word}`;
    if (line !== '' && smallWidth(longer) > width) {
      lines.push(line);
      line = word;
    } else line = longer;
  }
  return [...lines, line];
}
