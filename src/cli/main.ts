#!/usr/bin/env node
import { readFileSync } from 'node:fs';
import { Command, CommanderError } from 'commander';
import { TautlineError } from '../engine/errors.js';
import { registerCheck } from './check.js';
import { registerCommission } from './commission.js';
import { registerCompare } from './compare.js';
import { registerFeedforward } from './feedforward.js';
import { registerIdentify } from './identify.js';
import { registerImport } from './import.js';
import { asTautlineError, reportError } from './output.js';
import { registerProgram } from './program.js';
import { registerRoll } from './roll.js';
import { registerServe } from './serve.js';
import { registerStackTest } from './stackTest.js';

const { version } = JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8')) as {
  version: string;
};

const program = new Command('tautline')
  .description('Commissioning of driven rollers and winders on web lines')
  .version(version)
  .showSuggestionAfterError()
  .exitOverride()
  .configureOutput({ writeErr: () => {} });

registerCommission(program);
registerCheck(program);
registerProgram(program);
registerRoll(program);
registerStackTest(program);
registerIdentify(program);
registerCompare(program);
registerFeedforward(program);
registerImport(program);
registerServe(program, version);

const json = process.argv.includes('--json');
try {
  // Subcommands take over the settings made before they were registered only when copied.
  for (const command of program.commands) command.copyInheritedSettings(program);
  await program.parseAsync(process.argv);
} catch (error) {
  if (error instanceof CommanderError) {
    // Help and version end this way too, with code 0.
    if (error.exitCode !== 0)
      reportError(
        json,
        new TautlineError(
          'usage',
          {},
          error.message.replace(/^error: /, ''),
          'tautline --help lists the commands, tautline COMMAND --help the options',
        ),
      );
  } else reportError(json, asTautlineError(error));
}
