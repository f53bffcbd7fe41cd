/** Help texts, made from the commands' own declarations. */
import type { ArgDef, CommandDef } from 'citty';
import { UsageError } from './cli-error.ts';
import { table } from './sheet.ts';

/** A command as this tool declares it: one word, its arguments, and what else its help should say. */
export interface CliCommand {
  readonly name: string;
  readonly about: string;
  /** Ways to write it, without the program's name. */
  readonly forms: readonly string[];
  readonly args: Readonly<Record<string, ArgDef>>;
  /** More lines below the options. */
  readonly more?: () => string;
  readonly run: (context: { args: Record<string, unknown> & { _: string[] }; rawArgs: string[] }) => Promise<void>;
}

export const PROGRAM = 'level-best';

/** The text of `level-best COMMAND --help`. */
export function commandHelp(command: CliCommand): string {
  const options = Object.entries(command.args).map(([name, arg]) => [
    `  --${name}${arg.type === 'string' ? ` ${arg.valueHint ?? name.toUpperCase()}` : ''}`,
    arg.description ?? '',
  ]);
  return [
    command.about,
    '',
    ...command.forms.map((form) => `  ${PROGRAM} ${form}`),
    '',
    table([...options, ['  --help', 'This text.']]),
    ...(command.more ? ['', command.more()] : []),
  ].join('\n');
}

/** The text of `level-best --help`. */
export function programHelp(commands: readonly CliCommand[]): string {
  return [
    'Level Best: stages of mild nonlinearity in racks, rendered and measured at matched loudness.',
    '',
    table(commands.map(({ name, about }) => [`  ${PROGRAM} ${name}`, about])),
    '',
    `Each has its own help: ${PROGRAM} COMMAND --help`,
  ].join('\n');
}

/** The declaration in the library's terms. Options that aren't declared are refused, since a typing error would be silent. */
export function toCitty(command: CliCommand): CommandDef {
  return {
    meta: { name: command.name, description: command.about },
    args: command.args as CommandDef['args'],
    async run(context) {
      const args = context.args as unknown as Record<string, unknown> & { _: string[] };
      for (const given of Object.keys(args)) {
        if (given === '_' || given in command.args) continue;
        const known = Object.keys(command.args).map((name) => `--${name}`);
        const dashes = given.length === 1 ? '-' : '--';
        throw new UsageError(`There is no option ${dashes}${given}; "${command.name}" takes ${known.join(', ')}.`);
      }
      for (const [name, arg] of Object.entries(command.args)) {
        if (arg.type === 'string' && args[name] === '') {
          throw new UsageError(`--${name} needs a value; write --${name} ${arg.valueHint ?? name.toUpperCase()}.`);
        }
      }
      await command.run({ args, rawArgs: context.rawArgs });
    },
  };
}

/** Every value of an option that may be given several times; the library itself keeps only the last. */
export function repeatedOption(rawArgs: readonly string[], name: string): string[] {
  const values: string[] = [];
  for (let i = 0; i < rawArgs.length && rawArgs[i] !== '--'; i++) {
    if (rawArgs[i] === `--${name}`) values.push(rawArgs[++i] ?? '');
    else if (rawArgs[i].startsWith(`--${name}=`)) values.push(rawArgs[i].slice(name.length + 3));
  }
  return values;
}
