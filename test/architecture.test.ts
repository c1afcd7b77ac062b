import { spawnSync } from 'node:child_process';
import {
  copyFileSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { builtinModules } from 'node:module';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import ts from 'typescript';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';

const root = resolve(import.meta.dirname, '..');
const read = (path: string): string => readFileSync(join(root, path), 'utf8');

function sources(...folders: string[]): string[] {
  return folders.flatMap((folder) =>
    readdirSync(join(root, folder), { recursive: true, encoding: 'utf8' })
      .filter((name) => /\.(ts|tsx|mjs)$/.test(name))
      .map((name) => join(folder, name)),
  );
}

/** What the direction rules find wrong in a tree: [rule, from, to]. */
function violations(folder: string): [string, string, string][] {
  const cruiser = join(root, 'node_modules/dependency-cruiser/bin/dependency-cruise.mjs');
  const { stdout, stderr } = spawnSync(
    process.execPath,
    [
      cruiser,
      'src',
      'test/support',
      '--config',
      join(root, '.dependency-cruiser.cjs'),
      '--output-type',
      'json',
    ],
    { cwd: folder, encoding: 'utf8', maxBuffer: 1 << 28 },
  );
  if (!stdout.startsWith('{')) throw new Error(`dependency-cruiser gave no result: ${stderr}`);
  const { summary } = JSON.parse(stdout) as {
    summary: { totalCruised: number; violations: { rule: { name: string }; from: string; to: string }[] };
  };
  expect(summary.totalCruised).toBeGreaterThan(0);
  return summary.violations.map((v) => [v.rule.name, v.from, v.to]);
}

describe('direction of imports', () => {
  test('holds in src and test/support', () => expect(violations(root)).toEqual([]));

  describe('planted violations', () => {
    // Each pair is a file and the file that it must not import.
    const planted: readonly (readonly [rule: string, from: string, to: string])[] = [
      ['engine-has-no-dependency', 'src/engine/line/a.ts', 'src/cli/b.ts'],
      ['engine-has-no-dependency', 'src/engine/line/c.ts', 'node:fs'],
      ['engine-units', 'src/engine/units/a.ts', 'src/engine/numerics/b.ts'],
      ['engine-line', 'src/engine/line/d.ts', 'src/engine/identify/b.ts'],
      ['engine-numerics', 'src/engine/numerics/c.ts', 'src/engine/units/d.ts'],
      ['engine-identify', 'src/engine/identify/c.ts', 'src/engine/feedforward/b.ts'],
      ['node-to-engine-only', 'src/node/a.ts', 'src/cli/b.ts'],
      ['server-to-node-and-engine-only', 'src/server/a.ts', 'src/cli/b.ts'],
      ['workbench-to-engine-only', 'src/workbench/a.ts', 'src/server/b.ts'],
      ['test-plant-shares-no-code', 'test/support/plant/a.ts', 'src/engine/line/e.ts'],
      ['no-circular', 'src/engine/line/f.ts', 'src/engine/line/g.ts'],
    ];
    let folder: string;
    let found: [string, string, string][];

    beforeAll(() => {
      folder = mkdtempSync(join(tmpdir(), 'tautline-architecture-'));
      copyFileSync(join(root, 'tsconfig.base.json'), join(folder, 'tsconfig.base.json'));
      const write = (path: string, text: string): void => {
        mkdirSync(dirname(join(folder, path)), { recursive: true });
        writeFileSync(join(folder, path), text);
      };
      const importing = (from: string, to: string): string => {
        const up = '../'.repeat(from.split('/').length - 1);
        return `import '${to.startsWith('node:') ? to : up + to.replace(/\.ts$/, '.js')}';\n`;
      };
      for (const [, , to] of planted) if (!to.startsWith('node:')) write(to, 'export {};\n');
      for (const [rule, from, to] of planted) {
        write(from, importing(from, to));
        if (rule === 'no-circular') write(to, importing(to, from));
      }
      // What is allowed, beside them.
      write('src/cli/ok.ts', importing('src/cli/ok.ts', 'src/engine/line/e.ts'));
      write('src/engine/identify/ok.ts', importing('src/engine/identify/ok.ts', 'src/engine/line/e.ts'));
      found = violations(folder);
    });
    afterAll(() => rmSync(folder, { recursive: true, force: true }));

    test.each(planted)('%s: %s importing %s is caught', (rule, from, to) => {
      const bare = to.replace(/^node:/, '');
      expect(
        found.filter(([r, f, t]) => r === rule && f === from && t.replace(/^node:/, '') === bare),
      ).toHaveLength(1);
    });

    test('what is allowed passes', () =>
      expect(found.filter(([, from]) => from.endsWith('ok.ts'))).toEqual([]));
  });
});

describe('the engine', () => {
  const files = sources('src/engine');

  test('imports nothing but its own files by relative path', () => {
    expect(files.length).toBeGreaterThan(20);
    for (const path of files)
      for (const { fileName } of ts.preProcessFile(read(path)).importedFiles)
        expect(fileName, `${path} imports ${fileName}`).toMatch(/^\.\.?\/.*\.js$/);
  });

  // What else a machine has (files, windows, timers) does not compile there: its tsconfig knows no types of Node or a browser.
  test('knows no clock and no unseeded randomness', () => {
    const forbidden = /\bDate\.now|\bnew Date\(\)|\bMath\.random/;
    const code = (path: string): string => read(path).replace(/\/\*[\s\S]*?\*\/|\/\/.*$/gm, '');
    expect(forbidden.test('const t = Date.now();')).toBe(true);
    expect(files.filter((path) => forbidden.test(code(path)))).toEqual([]);
  });

  test('depends on no package: its tsconfig has no types', () => {
    expect(JSON.parse(read('src/engine/tsconfig.json')).compilerOptions.types ?? []).toEqual([]);
    expect(JSON.parse(read('tsconfig.base.json')).compilerOptions.types).toEqual([]);
  });
});

test('a file over 400 lines says why in its head comment ("Length: ...")', () => {
  const long = sources('src', 'test', 'bench', 'demo', 'scripts').filter((path) => {
    const text = read(path);
    const head = text.split('\n').slice(0, 25).join('\n');
    return text.split('\n').length - 1 > 400 && !/^\s*(\*|\/\/|\/\*\*?) ?Length: .{10}/m.test(head);
  });
  expect(long).toEqual([]);
});

describe('package.json', () => {
  const { dependencies, devDependencies, scripts, engines } = JSON.parse(read('package.json')) as {
    dependencies: Record<string, string>;
    devDependencies: Record<string, string>;
    scripts: Record<string, string>;
    engines: Record<string, string>;
  };

  test('pins every package exactly, and the lock file has these versions', () => {
    const lock = JSON.parse(read('package-lock.json')) as { packages: Record<string, { version?: string }> };
    for (const [name, version] of Object.entries({ ...dependencies, ...devDependencies })) {
      expect(version, name).toMatch(/^\d+\.\d+\.\d+(-[\w.]+)?$/);
      expect(lock.packages[`node_modules/${name}`]?.version, name).toBe(version);
    }
    // Download addresses would tie the install to the registry that the lock file was made with.
    expect(read('package-lock.json')).not.toContain('"resolved"');
  });

  test('every package that the shipped code imports is a dependency, and every dependency is imported', () => {
    // What the workbench imports is built into its files, so whoever installs the package needs none of it.
    const isBundled = (path: string): boolean => path.startsWith(join('src', 'workbench'));
    const imports = (paths: readonly string[]): Set<string> =>
      new Set(
        paths
          .flatMap((path) => ts.preProcessFile(read(path)).importedFiles.map((f) => f.fileName))
          .filter(
            (name) => !name.startsWith('.') && !name.startsWith('node:') && !builtinModules.includes(name),
          )
          .map((name) =>
            name
              .split('/')
              .slice(0, name.startsWith('@') ? 2 : 1)
              .join('/'),
          ),
      );
    const files = sources('src');
    expect([...imports(files.filter((path) => !isBundled(path)))].sort()).toEqual(
      Object.keys(dependencies).sort(),
    );
    const bundled = imports(files.filter(isBundled));
    expect(bundled.size).toBeGreaterThan(0);
    for (const name of bundled) expect({ ...dependencies, ...devDependencies }).toHaveProperty([name]);
  });

  test('both commands set themselves up, with built-in modules only', () => {
    expect(scripts.prestart).toBe('node scripts/setup.mjs');
    expect(scripts.pretest).toBe('node scripts/setup.mjs --browser');
    expect(engines.node).toBe('>=20');
    for (const path of ['scripts/setup.mjs', 'scripts/test.mjs'])
      for (const { fileName } of ts.preProcessFile(read(path)).importedFiles)
        expect(fileName, path).toMatch(/^node:/);
  });
});
