/** The command line: level-best COMMAND. Everything it does goes through the same engine as listening. */
import { isMainThread } from 'node:worker_threads';
import { runCommand } from 'citty';
import { benchCommand } from './bench-command.ts';
import { CliError, UsageError } from './cli-error.ts';
import { compareCommand } from './compare-command.ts';
import type { CliCommand } from './help.ts';
import { commandHelp, PROGRAM, programHelp, toCitty } from './help.ts';
import { measureCommand } from './measure-command.ts';
import { print, warn } from './output.ts';
import { serveTasks, setProgram } from './parallel.ts';
import { renderCommand } from './render-command.ts';
import { reportCommand } from './report-command.ts';
import { stagesCommand } from './stages-command.ts';
import { trialsCommand } from './trials-command.ts';
import { version } from './version.ts';

const commands: readonly CliCommand[] = [
  measureCommand,
  renderCommand,
  reportCommand,
  compareCommand,
  benchCommand,
  stagesCommand,
  trialsCommand,
];

async function run([name, ...rest]: readonly string[]): Promise<void> {
  if (name === undefined) throw new UsageError(`Say what to do.\n\n${programHelp(commands)}`);
  if (name === '--help' || name === '-h' || name === 'help') {
    print(programHelp(commands));
    return;
  }
  if (name === '--version') {
    print(version);
    return;
  }
  const command = commands.find((known) => known.name === name);
  if (!command) {
    throw new UsageError(
      `There is no command "${name}"; choose one of ${commands.map((known) => known.name).join(', ')}.`,
    );
  }
  const end = rest.indexOf('--');
  if ((end < 0 ? rest : rest.slice(0, end)).some((arg) => arg === '--help' || arg === '-h')) {
    print(commandHelp(command));
    return;
  }
  await runCommand(toCitty(command), { rawArgs: rest });
}

async function main(): Promise<void> {
  try {
    await run(process.argv.slice(2));
  } catch (error) {
    if (error instanceof CliError) {
      warn(`${PROGRAM}: ${error.message}`);
      process.exitCode = error.exitCode;
    } else if (error instanceof RangeError && /allocation|length/i.test(error.message)) {
      warn(`${PROGRAM}: There is not enough memory for this; split the recording into shorter ones.`);
      process.exitCode = 1;
    } else {
      warn(`${PROGRAM}: It stopped at a fault of its own; please report it with the command and these lines.`);
      warn(error instanceof Error ? (error.stack ?? error.message) : String(error));
      process.exitCode = 1;
    }
  }
}

setProgram(import.meta.url);
// Each thread for work side by side loads this same file.
if (isMainThread) await main();
else serveTasks();
