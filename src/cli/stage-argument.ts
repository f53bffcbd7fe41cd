import type { Parameter, ParameterValue } from '../engine/parameters.ts';
import { defaultValues, parameterFault } from '../engine/parameters.ts';
import { findParameter, findStageKind, stageKinds } from '../engine/stages/catalogue.ts';
import type { StageKind } from '../engine/stages/stage-kind.ts';
import type { Rack, Stage } from '../session/document.ts';
import { newStage } from '../session/document.ts';
import { CliError, UsageError } from './cli-error.ts';

/**
 * Reads one `--stage KIND:parameter=value,…` by the kind's own declaration; what isn't named has its default.
 * @throws CliError for a kind, a parameter or a value that isn't declared; UsageError for what can't be read
 */
export function parseStage(text: string, id: string): Stage {
  const colon = text.indexOf(':');
  const kind = knownKind(colon < 0 ? text : text.slice(0, colon));
  const params: Record<string, ParameterValue> = defaultValues(kind.parameters);
  const settings = colon < 0 ? [] : text.slice(colon + 1).split(',');
  for (const setting of settings) {
    const equals = setting.indexOf('=');
    if (equals <= 0) {
      throw new UsageError(
        `--stage ${text}: "${setting}" is not a setting; write ${kind.id}:parameter=value, with commas in between.`,
      );
    }
    const parameter = knownParameter(kind, setting.slice(0, equals));
    params[parameter.id] = readValue(kind, parameter, setting.slice(equals + 1));
  }
  return newStage(id, kind.id, params);
}

function readValue(kind: StageKind, parameter: Parameter, text: string): ParameterValue {
  // Number('') is 0, which nobody meant.
  if (text.trim() === '')
    throw new CliError(
      `${kind.id}: ${parameter.id} has no value; write ${parameter.id}=${parameter.default} or leave it out.`,
    );
  const value = parameter.type === 'choice' ? text : Number(text.replace('−', '-'));
  const fault = parameterFault(parameter, Number.isNaN(value) ? text : value);
  if (fault) throw new CliError(`${kind.id}: ${fault}`);
  return value;
}

/**
 * Checks a stored rack against the declarations of this version.
 * @throws CliError that names what doesn't fit
 */
export function checkRack(rack: Rack, where: string): void {
  for (const stage of rack.stages) {
    const kind = knownKind(stage.kind, `${where}: `);
    for (const [id, value] of Object.entries(stage.params)) {
      const fault = parameterFault(knownParameter(kind, id, `${where}: `), value);
      if (fault) throw new CliError(`${where}: ${kind.id}: ${fault}`);
    }
  }
}

/** What has no effect as set, one sentence each. */
export function idleSettings(rack: Rack, where: string): string[] {
  return rack.stages.flatMap((stage) =>
    (findStageKind(stage.kind)?.parameters ?? []).flatMap((parameter) => {
      const { id, when } = parameter;
      const given = stage.params[id] !== undefined && stage.params[id] !== parameter.default;
      if (!when || !given || stage.params[when.id] === when.is) return [];
      return [`${where}: ${stage.kind}: ${id} has no effect without ${when.id}=${when.is}.`];
    }),
  );
}

function knownKind(id: string, where = ''): StageKind {
  const kind = findStageKind(id);
  if (kind) return kind;
  const known = stageKinds.map((other) => other.id).join(', ');
  throw new CliError(`${where}There is no stage kind "${id}"; choose one of ${known}.`);
}

function knownParameter(kind: StageKind, id: string, where = ''): Parameter {
  const parameter = findParameter(kind, id);
  if (parameter) return parameter;
  const known = kind.parameters.map((other) => other.id).join(', ');
  throw new CliError(`${where}${kind.id} has no parameter "${id}"; it has ${known}.`);
}
