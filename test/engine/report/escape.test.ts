import { describe, expect, test } from 'vitest';
import { escapeMarkup, slug } from '../../../src/engine/report/escape.js';

describe('escapeMarkup', () => {
  test('takes away every character that could open a tag, an entity or close an attribute', () => {
    expect(escapeMarkup(`</td><script>alert("x & 'y'")</script>`)).toBe(
      '&lt;/td&gt;&lt;script&gt;alert(&quot;x &amp; &#39;y&#39;&quot;)&lt;/script&gt;',
    );
  });

  test('leaves units, Greek letters, minus signs, line ends and characters beyond 16 bits alone', () => {
    const text = 'ω [rad/s] −0.4 N·m ± 2 µm²\n\tΔ 𝜔';
    expect(escapeMarkup(text)).toBe(text);
  });

  test('replaces what a document may not hold: NUL, escape, lone surrogates, direction overrides', () => {
    expect(escapeMarkup('a\u0000b\u001bc\ud800d\u202ee\u2066f\uffffg')).toBe(
      'a\ufffdb\ufffdc\ufffdd\ufffde\ufffdf\ufffdg',
    );
  });

  test('escapes an entity again, so that the reader sees what the file held', () => {
    expect(escapeMarkup('&lt;b&gt;')).toBe('&amp;lt;b&amp;gt;');
  });
});

describe('slug', () => {
  test.each([
    ['Helper 3 / unwind', 'helper-3-unwind'],
    ['3" onload=x', 'x-3-onload-x'],
    ['"><script>', 'script'],
    ['走行', 'x'],
    ['', 'x'],
  ])('%j becomes %j', (text, expected) => {
    expect(slug(text)).toBe(expected);
    expect(slug(text)).toMatch(/^[a-z][a-z0-9-]*$/);
  });
});
