import { figureStyle } from './svg/style.js';
import { tokens } from './tokens.js';

const page = `
* { box-sizing: border-box; }
body { margin: 0; background: var(--surface); color: var(--ink); font: 15px/1.5 system-ui, sans-serif; font-variant-numeric: tabular-nums; }
.page { max-width: 940px; margin: 0 auto; padding: 28px 24px 64px; }
h1 { font-size: 28px; line-height: 1.2; margin: 0 0 4px; }
h2 { font-size: 22px; line-height: 1.25; margin: 48px 0 4px; padding-top: 14px; border-top: 2px solid var(--ink); }
h3 { font-size: 17px; margin: 30px 0 8px; }
p { margin: 8px 0; }
a { color: inherit; text-underline-offset: 3px; }
.subtitle, .lead { color: var(--ink-soft); margin: 0 0 12px; }
.user { unicode-bidi: isolate; overflow-wrap: anywhere; }
td.text { min-width: 5.5em; }
td.whole { overflow-wrap: break-word; }
td.signed { position: relative; padding-left: 1.4em; }
td.signed .sign { position: absolute; left: 0; }
.label { border: 2px solid var(--abnormal); padding: 8px 12px; margin: 0 0 20px; font-weight: 600; }
.facts { display: grid; grid-template-columns: repeat(auto-fill, minmax(180px, 1fr)); gap: 10px 20px; margin: 14px 0; }
.facts dt { color: var(--ink-soft); font-size: 13px; }
.facts dd { margin: 0; overflow-wrap: anywhere; }
nav { background: var(--panel); padding: 12px 18px; margin: 20px 0; }
nav h2 { font-size: 15px; border: 0; margin: 0; padding: 0; }
nav ol { margin: 4px 0; padding-left: 24px; columns: 2; }
.scroll { overflow-x: auto; margin: 10px 0 18px; }
table { border-collapse: collapse; width: 100%; font-size: 14px; }
caption { text-align: left; color: var(--ink-soft); font-size: 13px; padding-bottom: 6px; }
th, td { padding: 6px 14px 6px 0; text-align: left; vertical-align: top; border-bottom: 1px solid var(--rule-faint); }
th { font-weight: 600; border-bottom: 1px solid var(--ink-soft); vertical-align: bottom; }
th.number, td.number { text-align: right; }
th:last-child, td:last-child { padding-right: 0; }
td.number { white-space: nowrap; }
td.number.missing, td .note { white-space: normal; }
.unit { display: block; font-weight: 400; color: var(--ink-soft); }
.note { display: block; color: var(--ink-soft); font-size: 12.5px; line-height: 1.35; }
.missing { color: var(--ink-soft); }
figure { margin: 14px 0 22px; }
figcaption { color: var(--ink-soft); font-size: 13px; margin-top: 4px; }
.sign { display: inline-block; min-width: 1.3em; font-weight: 700; }
.sign.refuse, .sign.warn { color: var(--abnormal); }
.findings { list-style: none; margin: 8px 0; padding: 0; }
.findings li { border-left: 4px solid var(--rule); padding: 4px 0 4px 12px; margin: 0 0 12px; }
.findings li.refuse, .findings li.warn { border-color: var(--abnormal); }
.findings p { margin: 2px 0; }
.findings .code { color: var(--ink-soft); font-size: 13px; }
.cautions { border: 2px solid var(--ink); padding: 10px 18px 10px; margin: 16px 0; }
.cautions h3 { margin: 0 0 4px; }
.cautions ul { margin: 0; padding-left: 20px; }
details { margin: 10px 0; border-top: 1px solid var(--rule-faint); border-bottom: 1px solid var(--rule-faint); }
summary { cursor: pointer; padding: 8px 0; min-height: 32px; font-weight: 600; }
.signoff th:first-child { width: 7em; }
.signoff { table-layout: fixed; }
.signoff td { height: 44px; border-bottom: 1px solid var(--ink-soft); }
.signoff td + td { border-left: 1px solid var(--rule-faint); padding-left: 10px; }
@media (max-width: 640px) { nav ol { columns: 1; } .page { padding: 16px 14px 40px; } }`;

const print = `
@page { size: A4; margin: 15mm 14mm 16mm; @bottom-right { content: counter(page) " / " counter(pages); font: 9pt system-ui, sans-serif; } }
@media print {
  body { font-size: 10.5pt; line-height: 1.4; -webkit-print-color-adjust: exact; print-color-adjust: exact; }
  .page { max-width: none; padding: 0; }
  h2 { margin-top: 18pt; }
  nav { padding: 6pt 12pt; margin: 10pt 0; }
  .facts { grid-template-columns: repeat(auto-fill, minmax(150px, 1fr)); gap: 5pt 12pt; margin: 8pt 0; }
  .own-page { break-before: page; }
  .own-page h2 { margin-top: 0; }
  h2, h3, caption, .lead, summary { break-after: avoid; }
  figure, tr, .findings li, .cautions li, .signoff, .facts { break-inside: avoid; }
  thead { display: table-header-group; break-after: avoid; }
  tbody tr:first-child { break-before: avoid; }
  table { font-size: 9pt; }
  .cautions { font-size: 9.5pt; line-height: 1.3; }
  th, td { padding-top: 2.5pt; padding-bottom: 2.5pt; }
  .scroll { overflow: visible; }
  details::details-content { content-visibility: visible; block-size: auto; }
  summary { list-style: none; }
  a { text-decoration: none; }
}`;

/** The whole style sheet of a report. */
export const htmlStyle = `${tokens}${page}${figureStyle}${print}`;
