import { mkdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { dirname, join, relative, resolve } from 'node:path';
import ts from 'typescript';

const root = resolve(import.meta.dirname, '../..');

/**
 * Compiles a source file and all it imports by relative path into a folder, for tests that need a process of their own (to be killed, or
 * with limits set). Types are checked elsewhere. @returns path of the compiled file.
 */
export function compileInto(folder: string, source: string): string {
  const done = new Set<string>();
  const compile = (path: string): void => {
    if (done.has(path)) return;
    done.add(path);
    const text = readFileSync(path, 'utf8');
    const { outputText } = ts.transpileModule(text, {
      compilerOptions: {
        target: ts.ScriptTarget.ES2022,
        module: ts.ModuleKind.ESNext,
        verbatimModuleSyntax: true,
      },
    });
    const out = join(folder, relative(root, path).replace(/\.ts$/, '.js'));
    mkdirSync(dirname(out), { recursive: true });
    writeFileSync(out, outputText);
    for (const found of outputText.matchAll(/(?:from|import)\s*\(?\s*'(\.[^']+)\.js'/g))
      compile(resolve(dirname(path), `${found[1]}.ts`));
  };
  writeFileSync(join(folder, 'package.json'), '{ "type": "module" }');
  symlinkSync(join(root, 'node_modules'), join(folder, 'node_modules'));
  compile(join(root, source));
  return join(folder, source.replace(/\.ts$/, '.js'));
}
