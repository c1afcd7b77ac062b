import type { Severity } from '../findings.js';
import { escapeMarkup as e } from './escape.js';
import { htmlStyle } from './htmlStyle.js';
import { renderLineDrawing } from './line/render.js';
import type { Block, Cell, Fact, FindingItem, ReportTree, Section, Table } from './reportTree.js';
import { renderFigure } from './svg/render.js';

/**
 * A report as one HTML file that needs nothing else: no script, no font, no picture, no request. It reads on a screen
 * (light and dark) and prints on A4. The content policy in its head makes a browser hold to that even if a text from
 * outside should ever slip through unescaped.
 */
export function renderHtml(report: ReportTree): string {
  const label = report.label === undefined ? '' : `<p class="label">${e(report.label)}</p>`;
  return `<!doctype html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<title>${e(report.title)}</title>
<style>${htmlStyle}</style>
</head>
<body>
<div class="page">
<header>
${label}<h1>${e(report.title)}</h1>
<p class="subtitle">${e(report.subtitle)}</p>
${renderFacts(report.facts)}
</header>
${renderContents(report.sections)}
<main>
${renderSections(report.sections)}
</main>
</div>
</body>
</html>
`;
}

/** The sections alone, as markup for a page that has a style of its own; every text in it is escaped. */
export const renderSections = (sections: readonly Section[]): string =>
  sections.map(renderSection).join('\n');

function renderContents(sections: readonly Section[]): string {
  const entries = sections.map((s) => `<li><a class="user" href="#${e(s.id)}">${e(s.title)}</a></li>`);
  return `<nav aria-label="Contents"><h2>Contents</h2><ol>${entries.join('')}</ol></nav>`;
}

function renderSection(section: Section): string {
  const lead = section.lead === undefined ? '' : `<p class="lead">${e(section.lead)}</p>`;
  const ownPage = section.isOwnPage ? ' class="own-page"' : '';
  return (
    `<section id="${e(section.id)}"${ownPage}><h2 class="user">${e(section.title)}</h2>${lead}` +
    `${section.blocks.map(renderBlock).join('\n')}</section>`
  );
}

function renderBlock(block: Block): string {
  switch (block.kind) {
    case 'heading':
      return `<h3>${e(block.text)}</h3>`;
    case 'paragraph':
      return `<p class="user">${e(block.text)}</p>`;
    case 'list':
      return `<ul>${block.items.map((i) => `<li class="user">${e(i)}</li>`).join('')}</ul>`;
    case 'facts':
      return renderFacts(block.facts);
    case 'table':
      return renderTable(block.table);
    case 'figure':
      return renderCaptioned(renderFigure(block.figure), block.caption);
    case 'lineDrawing':
      return renderCaptioned(renderLineDrawing(block.drawing), block.caption);
    case 'findings':
      return `<ul class="findings">${block.findings.map(renderFinding).join('')}</ul>`;
    case 'cautions':
      return `<div class="cautions"><h3>Cautions</h3><ul>${block.items.map((i) => `<li>${e(i)}</li>`).join('')}</ul></div>`;
    case 'details':
      return `<details><summary>${e(block.summary)}</summary>${block.blocks.map(renderBlock).join('')}</details>`;
    case 'signOff':
      return renderSignOff(block.states, block.fields);
  }
}

const renderCaptioned = (svg: string, caption: string): string =>
  `<figure>${svg}${caption === '' ? '' : `<figcaption>${e(caption)}</figcaption>`}</figure>`;

function renderFacts(facts: readonly Fact[]): string {
  const items = facts.map((f) => `<div><dt>${e(f.label)}</dt><dd class="user">${e(f.value)}</dd></div>`);
  return items.length === 0 ? '' : `<dl class="facts">${items.join('')}</dl>`;
}

function renderTable(table: Table): string {
  const head = table.columns.map((column) => {
    const unit = column.unit === undefined ? '' : `<span class="unit">${e(column.unit)}</span>`;
    return `<th scope="col" class="${column.align}">${e(column.heading)}${unit}</th>`;
  });
  const rows = table.rows.map((row) => {
    const cells = row.map((cell, k) => renderCell(cell, table.columns[k]?.align ?? 'text'));
    return `<tr>${cells.join('')}</tr>`;
  });
  // A table wider than the screen scrolls by itself, and by keyboard, so it is a region with a name.
  return (
    `<div class="scroll" role="region" tabindex="0" aria-label="${e(table.caption)}"><table><caption>${e(table.caption)}</caption>` +
    `<thead><tr>${head.join('')}</tr></thead><tbody>${rows.join('')}</tbody></table></div>`
  );
}

function renderCell(cell: Cell, align: string): string {
  const note = cell.note === undefined ? '' : `<span class="note">${e(cell.note)}</span>`;
  const sign = cell.tone === undefined || cell.tone === 'missing' ? '' : renderSign(cell.tone);
  const text = cell.to === undefined ? e(cell.text) : `<a href="#${e(cell.to)}">${e(cell.text)}</a>`;
  const missing = cell.tone === 'missing' ? ' missing' : '';
  // Names and results are read at a glance, so they are not broken inside a word where that can be helped.
  const whole = cell.to !== undefined ? ' whole' : sign === '' ? '' : ' whole signed';
  return `<td class="${align}${missing} user${whole}">${sign}${text}${note}</td>`;
}

const signs: Readonly<Record<Severity | 'good', string>> = { refuse: '✕', warn: '▲', info: 'i', good: '✓' };
const severityWords: Readonly<Record<Severity, string>> = {
  refuse: 'Refused',
  warn: 'Warning',
  info: 'Remark',
};

const renderSign = (tone: Severity | 'good'): string =>
  `<span class="sign ${tone}" aria-hidden="true">${signs[tone]}</span>`;

function renderFinding(finding: FindingItem): string {
  const where = finding.where === '' ? '' : ` · ${e(finding.where)}`;
  return (
    `<li class="${finding.severity}"><p class="user">${renderSign(finding.severity)}<strong>${severityWords[finding.severity]}.</strong> ${e(finding.message)}</p>` +
    `<p class="user">Next: ${e(finding.next)}</p><p class="code user">${e(finding.code)}${where}</p></li>`
  );
}

function renderSignOff(states: readonly string[], fields: readonly string[]): string {
  const head = ['State', ...fields].map((f) => `<th scope="col">${e(f)}</th>`).join('');
  const rows = states.map(
    (s) => `<tr><th scope="row">${e(s)}</th>${fields.map(() => '<td></td>').join('')}</tr>`,
  );
  return `<table class="signoff"><thead><tr>${head}</tr></thead><tbody>${rows.join('')}</tbody></table>`;
}
