import type { Parameter } from '../engine/parameters.ts';
import { formatValue } from '../engine/parameters.ts';
import { stageKinds } from '../engine/stages/catalogue.ts';
import { UsageError } from './cli-error.ts';
import type { CliCommand } from './help.ts';
import { print } from './output.ts';
import { table } from './sheet.ts';

/** A parameter in JSON. A choice has no unit and no range: those are null, and `choices` holds the ids it may have. */
interface ListedParameter {
  readonly id: string;
  readonly label: string;
  readonly unit: string | null;
  readonly min: number | null;
  readonly max: number | null;
  readonly default: number | string;
  readonly choices?: readonly string[];
}

function listed(parameter: Parameter): ListedParameter {
  const { id, label } = parameter;
  if (parameter.type === 'choice') {
    const choices = parameter.choices.map((choice) => choice.id);
    return { id, label, unit: null, min: null, max: null, default: parameter.default, choices };
  }
  const { unit, min, max } = parameter;
  return { id, label, unit, min, max, default: parameter.default };
}

/** "−24.0 dB to +24.0 dB" or the choices' ids. */
function rangeText(parameter: Parameter): string {
  if (parameter.type === 'choice') return parameter.choices.map(({ id }) => id).join(' ');
  const plain = { ...parameter, atMin: undefined, atMax: undefined };
  const ends = `${formatValue(plain, parameter.min)} to ${formatValue(plain, parameter.max)}`;
  const named = [
    parameter.atMin && `${parameter.min} is ${parameter.atMin}`,
    parameter.atMax && `${parameter.max} is ${parameter.atMax}`,
  ];
  const words = named.filter(Boolean).join(', ');
  return words ? `${ends} (${words})` : ends;
}

/** Every kind with its parameters, for people: the same text in `stages` and in the help of `render`. */
export function stagesSheet(): string {
  return stageKinds
    .map((kind) => {
      const rows = kind.parameters.map((parameter) => {
        const only = parameter.when ? `, only with ${parameter.when.id}=${parameter.when.is}` : '';
        return [`  ${parameter.id}`, `${parameter.default}`, `${rangeText(parameter)}${only}`];
      });
      return `${kind.id}: ${kind.about}\n${table([['  parameter', 'default', 'range'], ...rows])}`;
    })
    .join('\n\n');
}

export const stagesCommand: CliCommand = {
  name: 'stages',
  about: 'Every kind of stage with its parameters, units, ranges and defaults.',
  forms: ['stages [--json]'],
  args: {
    json: { type: 'boolean', description: 'A list: id, label, params (id, label, unit, min, max, default, choices).' },
  },
  async run({ args }) {
    if (args._.length > 0) throw new UsageError(`"stages" takes no names; leave out "${args._[0]}".`);
    if (!args.json) {
      print(stagesSheet());
      return;
    }
    const list = stageKinds.map(({ id, label, parameters }) => ({ id, label, params: parameters.map(listed) }));
    print(JSON.stringify(list, null, 2));
  },
};
