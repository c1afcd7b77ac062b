import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative, resolve } from 'node:path';
import ts from 'typescript';
import { describe, expect, test } from 'vitest';
import { errorCodes } from '../src/engine/errors.js';
import { findingCodes } from '../src/engine/findings.js';
import { driveSchema } from '../src/engine/project/drive.js';
import { editorSchema } from '../src/engine/project/editorSchema.js';
import { lineSchema } from '../src/engine/project/line/lineDocument.js';
import { productSchema } from '../src/engine/project/product/productDocument.js';
import { rollSchema } from '../src/engine/project/roll/rollDocument.js';
import { quantity, quantityKeys } from '../src/engine/units/quantity.js';

const root = resolve(import.meta.dirname, '..');
const read = (path: string): string => readFileSync(join(root, path), 'utf8');

function filesUnder(folder: string, ending: string): string[] {
  return readdirSync(join(root, folder), { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith(ending))
    .map((name) => join(folder, name))
    .sort();
}

describe('nomenclature', () => {
  const escaped = (text: string): string => text.replaceAll('|', '\\|');

  function nomenclature(): string {
    const lines = ['| quantity | symbol | units: label, suffix `_…` | shown SI, US |', '|---|---|---|---|'];
    for (const key of quantityKeys) {
      const { label, symbol, units, display } = quantity(key);
      const list = units.map((u) => `${u.label === '' ? '–' : u.label} \`${u.id}\``).join(', ');
      const shown = [display.si, display.us].map((id) => units.find((u) => u.id === id)?.label || '–');
      lines.push(`| ${label} \`${key}\` | ${symbol} | ${escaped(list)} | ${shown.join(', ')} |`);
    }
    return lines.join('\n');
  }

  test('docs/conventions.md holds the quantity table as it is (renew it with `npx vitest run test/docs.test.ts -u`)', async () => {
    const markers = /(<!-- nomenclature: begin -->)[\s\S]*(<!-- nomenclature: end -->)/;
    const text = read('docs/conventions.md');
    expect(text).toMatch(markers);
    const renewed = text.replace(markers, (_, begin, end) => `${begin}\n${nomenclature()}\n${end}`);
    await expect(renewed).toMatchFileSnapshot(join(root, 'docs/conventions.md'));
  });
});

describe('schemas for editors', () => {
  test.each([
    ['drive', driveSchema],
    ['line', lineSchema],
    ['product', productSchema],
    ['roll', rollSchema],
  ])(
    'schemas/%s.schema.json says what the program checks (renew it with `npx vitest run test/docs.test.ts -u`)',
    async (name, schema) => {
      const text = `${JSON.stringify(editorSchema(schema), undefined, 2)}\n`;
      await expect(text).toMatchFileSnapshot(join(root, `schemas/${name}.schema.json`));
    },
  );
});

describe('docs/errors.md', () => {
  const text = read('docs/errors.md');
  const [errors, findings] = text.split(/^# Findings$/m) as [string, string];
  const sections = (part: string): string[] => [...part.matchAll(/^### (.*)$/gm)].map((m) => m[1] as string);

  test('has one section for every error code and no other', () => {
    expect(sections(errors).sort()).toEqual(Object.keys(errorCodes).sort());
  });

  test('has one section for every finding code and no other', () => {
    expect(sections(findings).sort()).toEqual([...findingCodes].sort());
  });

  test('says something under each', () => {
    for (const section of text.split(/^### /m).slice(1)) {
      const [code, ...body] = section.split('\n');
      expect(body.join(' ').replace(/\s+/g, ' ').trim().length, code).toBeGreaterThan(60);
    }
  });
});

interface Documented {
  readonly name: string;
  readonly doc: string;
  /** True when a parameter or the result is a number, a quantity or an array of numbers. */
  readonly numeric: boolean;
  /** True when the result is a finding: its message, held to docs/errors.md above, says what the function is for. */
  readonly makesFinding: boolean;
}

// A flavour type counts as a number: whatever quantity.ts exports as `Quantity<…>`.
const flavours = [...read('src/engine/units/quantity.ts').matchAll(/^export type (\w+) = Quantity</gm)].map(
  (m) => m[1],
);
const numericType = new RegExp(`\\b(number|Float64Array|${flavours.join('|')})\\b`);

/** Functions that a file exports, by declaration or as a constant, with the comment before each. */
function exportedFunctions(path: string): Documented[] {
  const source = ts.createSourceFile(path, read(path), ts.ScriptTarget.ES2022, true);
  const found: Documented[] = [];
  const add = (name: string, statement: ts.Node, f: ts.SignatureDeclaration): void => {
    const doc = ts
      .getJSDocCommentsAndTags(statement)
      .map((c) => c.getText())
      .join('\n');
    const types = [...f.parameters.map((p) => p.type), f.type].map((t) => t?.getText() ?? '');
    found.push({
      name,
      doc,
      numeric: types.some((t) => numericType.test(t)),
      makesFinding: /\b(Finding|NotEstimated)\b/.test(f.type?.getText() ?? ''),
    });
  };
  for (const statement of source.statements) {
    const modifiers = ts.canHaveModifiers(statement) ? ts.getModifiers(statement) : undefined;
    if (!modifiers?.some((m) => m.kind === ts.SyntaxKind.ExportKeyword)) continue;
    if (ts.isFunctionDeclaration(statement)) add(statement.name?.text ?? 'default', statement, statement);
    if (ts.isVariableStatement(statement))
      for (const { name, initializer } of statement.declarationList.declarations)
        if (initializer && (ts.isArrowFunction(initializer) || ts.isFunctionExpression(initializer)))
          add(name.getText(), statement, initializer);
  }
  return found;
}

// The areas of the engine that state physics one relation a function. The others compute with what these return.
const relationAreas = ['line', 'web', 'roll', 'program'];

describe('doc comments of the engine', () => {
  const files = filesUnder('src/engine', '.ts');
  const functions = files.flatMap((path) => exportedFunctions(path).map((f) => ({ ...f, path })));
  const relations = functions.filter(
    (f) => f.numeric && relationAreas.some((area) => f.path.startsWith(`src/engine/${area}/`)),
  );
  const names = (list: typeof functions): string[] => list.map((f) => `${f.path}: ${f.name}`);

  test('the search finds functions and relations', () => {
    expect(functions.length).toBeGreaterThan(50);
    expect(names(relations)).toContain('src/engine/line/drag.ts: dragTorque');
    expect(names(relations)).toContain('src/engine/line/power.ts: webPower');
  });

  test('every exported function has one, unless it makes a finding', () => {
    expect(names(functions.filter((f) => f.doc === '' && !f.makesFinding))).toEqual([]);
  });

  test('a relation states its units in brackets', () => {
    expect(names(relations.filter((f) => !/\[[^\]]+\]/.test(f.doc)))).toEqual([]);
  });

  test('a relation states its source', () => {
    expect(names(relations.filter((f) => !f.doc.includes('Source:')))).toEqual([]);
  });
});

describe('links', () => {
  const pages = [...filesUnder('docs', '.md'), ...readdirSync(root).filter((name) => name.endsWith('.md'))];
  const anchor = (heading: string): string =>
    heading
      .toLowerCase()
      .replace(/[^\p{L}\p{N}\s_-]/gu, '')
      .trim()
      .replace(/\s/g, '-');

  test.each(pages)('%s: relative links lead somewhere', (page) => {
    for (const [, target] of read(page).matchAll(/\]\(([^)\s]+)\)/g)) {
      if (target === undefined || /^[a-z]+:/.test(target)) continue;
      const [path, fragment] = target.split('#') as [string, string | undefined];
      const file = path === '' ? join(root, page) : resolve(root, dirname(page), path);
      expect(existsSync(file), `${page} links to ${relative(root, file)}`).toBe(true);
      expect(relative(root, file).startsWith('..'), `${page} links out of the repository: ${target}`).toBe(
        false,
      );
      if (fragment === undefined) continue;
      const headings = [...readFileSync(file, 'utf8').matchAll(/^#+ (.*)$/gm)].map((m) =>
        anchor(m[1] as string),
      );
      expect(headings, `${page} links to ${target}`).toContain(fragment);
    }
  });
});
