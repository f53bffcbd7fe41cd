import { MAX_STAGES } from '../oversampling.ts';
import type { StageKind } from './stage-kind.ts';
import { MAX_COEFFICIENTS } from './stage-kind.ts';

/** Most parameters of a kind. */
export const MAX_PARAMETERS = 32;
/** Most memory of one circuit, bytes. */
export const MAX_STATE = 4096;

/** The kinds an engine was given, by their ids. */
export class StageKinds {
  /** Most memory that one of their circuits needs, bytes. */
  readonly stateBytes: number;
  /** Most frames at the higher rate that one of them is late by. */
  readonly delayFrames: number;
  private readonly byId: ReadonlyMap<string, StageKind>;

  /**
   * @param delayBudget frames at the higher rate that a rack has for the delays of its stages: any rack, and one with
   * firm curves
   * @param cornerDelay frames that a curve with corners is late by
   * @throws Error with a sentence about a kind that no rack of eight stages could hold
   */
  constructor(
    all: readonly StageKind[],
    delayBudget: { readonly any: number; readonly firm: number },
    cornerDelay: number,
  ) {
    this.byId = new Map(all.map((kind) => [kind.id, kind]));
    this.stateBytes = Math.max(16, ...all.flatMap(({ circuits }) => circuits.map(({ stateBytes }) => stateBytes)));
    this.delayFrames = cornerDelay;
    for (const { id, circuits } of all) {
      for (const { hasCorners, hasKnots, delayFrames, knee } of circuits) {
        const integrated = delayFrames + (hasCorners || hasKnots ? cornerDelay : 0);
        this.delayFrames = Math.max(this.delayFrames, integrated);
        // What isn't always firm has to fit any rack without the integral, and a firm one with it.
        const cases = knee === 'firm' ? [] : [[delayFrames, delayBudget.any]];
        for (const [frames, budget] of [...cases, [integrated, delayBudget.firm]]) {
          if (frames * MAX_STAGES <= budget) continue;
          throw new Error(
            `The stage kind "${id}" is ${frames} frames late; ${MAX_STAGES} of them don't fit a rack, which has ${budget}. Make it at most ${Math.floor(budget / MAX_STAGES)}.`,
          );
        }
      }
    }
    if (this.byId.size < all.length) throw new Error('Two stage kinds have the same id. Give one of them another.');
    for (const { id, parameters, circuits } of all) {
      const most = (what: string, limit: number) =>
        `The stage kind "${id}" has more than ${limit} ${what}. Leave some out.`;
      if (parameters.length > MAX_PARAMETERS) throw new Error(most('parameters', MAX_PARAMETERS));
      for (const { inputs, stateBytes } of circuits) {
        if (inputs.length > MAX_COEFFICIENTS) throw new Error(most('inputs', MAX_COEFFICIENTS));
        if (stateBytes > MAX_STATE) throw new Error(most('bytes of memory', MAX_STATE));
      }
    }
  }

  /** The kind of that id; null for one that isn't there. */
  find(id: string): StageKind | null {
    return this.byId.get(id) ?? null;
  }
}
