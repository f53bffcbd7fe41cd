import type { Parameter } from '../parameters.ts';
import { diodePair } from './diode-pair.ts';
import { harmonicSet } from './harmonic-set.ts';
import { pushPull } from './push-pull.ts';
import { softClip } from './soft-clip.ts';
import type { StageKind } from './stage-kind.ts';
import { tape } from './tape.ts';
import { transformer } from './transformer.ts';
import { triode } from './triode.ts';

/** Every stage kind there is. Adding one here is all that the screen, the command line and the tests need. */
export const stageKinds: readonly StageKind[] = [
  softClip, //
  harmonicSet,
  diodePair,
  triode,
  pushPull,
  transformer,
  tape,
];

/** The kind with this id; undefined when there is none. */
export function findStageKind(id: string): StageKind | undefined {
  return stageKinds.find((kind) => kind.id === id);
}

/** The declaration of one parameter of a kind; undefined when there is none. */
export function findParameter(kind: StageKind, parameterId: string): Parameter | undefined {
  return kind.parameters.find((parameter) => parameter.id === parameterId);
}
