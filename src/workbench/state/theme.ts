import { lineStyle } from '../../engine/report/line/style.js';
import { figureStyle } from '../../engine/report/svg/style.js';
import { tokens } from '../../engine/report/tokens.js';

export type Theme = 'system' | 'light' | 'dark';

/** The tokens of the report for the theme that was chosen: one list of colours, wherever they are shown. */
export function themeStyle(theme: Theme): string {
  const at = tokens.indexOf('@media screen');
  if (theme === 'system') return tokens;
  const light = tokens.slice(0, at);
  if (theme === 'light') return `${light}:root { color-scheme: light; }`;
  const dark = tokens.slice(tokens.indexOf('{', at) + 1, tokens.lastIndexOf('}'));
  return `${light}@media screen { ${dark} :root { color-scheme: dark; } }`;
}

const sheet = new CSSStyleSheet();
const key = 'tautline theme';

const isTheme = (text: string | null): text is Theme =>
  text === 'system' || text === 'light' || text === 'dark';

export function storedTheme(): Theme {
  const text = localStorage.getItem(key);
  return isTheme(text) ? text : 'system';
}

export function applyTheme(theme: Theme): void {
  // drawings and plots look as in the report; here one sheet serves them all
  sheet.replaceSync(`${themeStyle(theme)}${lineStyle}${figureStyle}`);
  if (!document.adoptedStyleSheets.includes(sheet)) document.adoptedStyleSheets.push(sheet);
  localStorage.setItem(key, theme);
  // what is drawn on a canvas has to be drawn again
  window.dispatchEvent(new Event('tautline-theme'));
}
