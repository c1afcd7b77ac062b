/** A plain text table: columns as wide as their widest cell, numbers to the right, two spaces between. */
export function textTable(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const width = head.map((h, j) => Math.max(h.length, ...rows.map((r) => (r[j] ?? '').length)));
  // A column of numbers: something in it, and everything begins like one.
  const numeric = head.map(
    (_, j) => rows.some((r) => (r[j] ?? '') !== '') && rows.every((r) => /^$|^[−–(\d]/.test(r[j] ?? '')),
  );
  const line = (cells: readonly string[]): string =>
    cells
      .map((c, j) => (numeric[j] && j > 0 ? c.padStart(width[j]) : c.padEnd(width[j])))
      .join('  ')
      .trimEnd();
  return [line(head), line(width.map((w) => '─'.repeat(w))), ...rows.map(line)].join('\n');
}
