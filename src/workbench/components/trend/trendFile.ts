import type { Figure } from '../../../engine/report/svg/figure.js';
import type { Lane } from './channels.js';
import type { TrendPainter } from './painter.js';
import type { TrendStretch } from './stretches.js';

/** The window as a figure: of each bucket its least and greatest value, one after the other. */
export function figureOf(
  name: string,
  timeAxis: string,
  lanes: readonly Lane[],
  stretches: readonly TrendStretch[],
  painter: Pick<TrendPainter, 'shown' | 'window'>,
): Figure {
  const { from, to } = painter.window;
  const cut = stretches.filter((s) => s.to > from && s.from < to && s.tone !== 'note');
  return {
    id: 'trend',
    title: `Recording ${name}`,
    description: `${lanes.map((l) => l.axis).join('; ')} over time`,
    x: { label: timeAxis },
    spans: cut.map((s) => ({
      from: Math.max(from, s.from),
      to: Math.min(to, s.to),
      tone: s.tone as Exclude<TrendStretch['tone'], 'note'>,
      isHatched: s.isHatched === true,
      letter: s.letter,
      label: s.tone,
      title: s.title,
    })),
    panels: lanes.map((lane) => ({
      y: { label: lane.axis },
      height: lanes.length > 1 ? 120 : 260,
      marks: painter.shown(lane).map(({ channel, rows }) => {
        const x = Float64Array.from(rows.flatMap(([t]) => [t, t]));
        const y = Float64Array.from(rows.flatMap(([, low, high]) => [low, high]));
        const base = { signal: channel.signal, label: channel.label, x, y };
        return channel.isReference
          ? { ...base, kind: 'line' as const, meaning: 'reference' as const }
          : { ...base, kind: 'trace' as const };
      }),
    })),
  };
}

/** The window as comma-separated text, decimal points whatever the language: a line a bucket. */
export function csvOf(
  timeAxis: string,
  lanes: readonly Lane[],
  painter: Pick<TrendPainter, 'shown'>,
): string {
  const quoted = (text: string): string => (/[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
  const number = (v: number): string => (Number.isFinite(v) ? String(Number(v.toPrecision(9))) : '');
  const lines = [`channel,unit,${quoted(timeAxis)},least,greatest`];
  for (const lane of lanes)
    for (const { channel, rows } of painter.shown(lane))
      for (const [t, low, high] of rows)
        lines.push(
          [quoted(channel.label), quoted(lane.unit), t, low, high]
            .map((v) => (typeof v === 'number' ? number(v) : v))
            .join(','),
        );
  return `${lines.join('\n')}\n`;
}
