import type { Finding } from '../../engine/findings.js';
import type { ColumnReader } from './columnReader.js';
import type { Layout } from './dialect.js';
import type { Plan } from './plan.js';

export const emptyFile = (file: string): Finding => ({
  code: 'empty_file',
  severity: 'refuse',
  message: `${file} is empty`,
  where: { file },
  next: 'export the recording again and check that the export has finished',
});

export const noRows = (file: string, line: number): Finding => ({
  code: 'no_rows',
  severity: 'refuse',
  message: `${file} holds no row of values`,
  where: { file, line },
  next: 'export the samples too, or state separator and header line if they are there',
});

/** What stays open about the way the table is written, although it was read. */
export function layoutFindings(file: string, layout: Layout, plan: Plan): Finding[] {
  const found: Finding[] = [];
  for (const header of plan.repeatedHeaders) {
    found.push({
      code: 'duplicate_headers',
      severity: 'info',
      message: `${file}: the header "${header}" stands more than once; the later columns are called "${header} (2)" and so on`,
      where: { file, header },
      next: `name the column that is meant, for instance "${header} (2)"`,
    });
  }
  if (layout.decimalUnclear !== undefined) {
    found.push({
      code: 'decimal_unclear',
      severity: 'warn',
      message: `${file}: "${layout.decimalUnclear}" was read with decimal comma, but every value with a comma has three digits after it, so the commas may separate thousands`,
      where: { file, value: layout.decimalUnclear },
      next: 'state the decimal sign if the values are a thousand times too small',
    });
  }
  for (const { header, text } of plan.unclearDates) {
    found.push({
      code: 'date_order_unclear',
      severity: 'warn',
      message: `${file}: column "${header}": day and month of "${text}" could be either way round; times within a day do not depend on it`,
      where: { file, header, value: text },
      next: 'export with dates as 2026-12-31 if the date matters',
    });
  }
  return found;
}

/** Cells like `1.234` beside a decimal comma, left unread because a wrong guess is a factor of a thousand. */
export function thousandsFindings(file: string, header: string, reader: ColumnReader): Finding[] {
  const first = reader.firstUnclear;
  if (!first) return [];
  return [
    {
      code: 'thousands_separator',
      severity: 'warn',
      message: `${file}: column "${header}": ${reader.unclearGroups} cells like "${first.text}" (line ${first.line}) may hold a thousands separator or another decimal sign; they were not read`,
      where: { file, header, line: first.line, value: first.text, cells: reader.unclearGroups },
      next: 'export without thousands separators, or state the decimal sign',
    },
  ];
}
