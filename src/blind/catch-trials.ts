/**
 * Catch trials: pairs mixed in among the others whose answer is known beforehand. They show whether attention lasted and
 * what louder does to this listener; they are reported and never count in a score.
 *
 * identical: the same sound twice. There is no right answer; how often the first was chosen shows a habit.
 * louder: the same sound, once 1 dB louder.
 * overdriven: a sound and the same one plainly overdriven.
 */
import type { DrawLog } from './random-bits.ts';

export const CATCH_KINDS = ['identical', 'louder', 'overdriven'] as const;
export type CatchKind = (typeof CATCH_KINDS)[number];

/** The extra gain of the louder one of a pair, dB. */
export const LOUDER_DB = 1;
/** One catch trial in so many: 12.5 %. */
const ONE_IN = 8;

/** How many catch trials go with a number of counting ones: as near to one in eight of all as whole trials allow. */
export function catchCount(counting: number): number {
  return Math.max(1, Math.round(counting / (ONE_IN - 1)));
}

/**
 * Where catch trials stand. The session is cut into stretches with one catch trial at a drawn place in each: stretches
 * of eight where the length is open, equal ones where the number of counting trials is known.
 */
export class CatchSchedule {
  readonly #log: DrawLog;
  readonly #counting: number | null;
  readonly #places = new Map<number, number>();
  #kinds: CatchKind[] = [];

  /** @param counting number of counting trials; null where it isn't known beforehand */
  constructor(log: DrawLog, counting: number | null) {
    this.#log = log;
    this.#counting = counting;
  }

  /** Whether the trial at this place (from 0, training left out) is a catch trial. */
  isCatch(place: number): boolean {
    const catches = this.#counting === null ? null : catchCount(this.#counting);
    const length = catches === null ? ONE_IN : ((this.#counting as number) + catches) / catches;
    const stretch = Math.floor((place + 1e-9) / length);
    const start = Math.ceil(stretch * length - 1e-9);
    const end = Math.ceil((stretch + 1) * length - 1e-9);
    let drawn = this.#places.get(stretch);
    if (drawn === undefined) {
      // The session ends with its last counting trial, so a catch trial can't stand after it.
      const places = end - start - (catches !== null && stretch === catches - 1 ? 1 : 0);
      drawn = start + this.#log.below(places, 'place of a catch trial');
      this.#places.set(stretch, drawn);
    }
    return drawn === place;
  }

  /** The next kind: all three in a drawn order, then all three again. */
  nextKind(): CatchKind {
    if (this.#kinds.length === 0) this.#kinds = this.#log.shuffled(CATCH_KINDS, 'kind of a catch trial');
    return this.#kinds.shift() as CatchKind;
  }
}

/** An answered catch trial, as the report needs it. */
export interface AnsweredCatch {
  readonly kind: CatchKind;
  /** Whether the answer was the first of the pair as heard. */
  readonly choseFirst: boolean;
  /** Whether the changed sound of the pair was chosen; null for identical pairs. */
  readonly choseChanged: boolean | null;
  /** Whether the answer was right; null where there is no right one (identical pairs; louder in preference trials). */
  readonly right: boolean | null;
}

export interface CatchReport {
  readonly presented: number;
  /** Answers that were wrong, of those that have a right one. */
  readonly missed: number;
  readonly withRightAnswer: number;
  readonly identical: { readonly presented: number; readonly choseFirst: number };
  readonly louder: { readonly presented: number; readonly missed: number | null; readonly choseLouder: number };
  readonly overdriven: { readonly presented: number; readonly missed: number };
}

export function catchReport(answered: readonly AnsweredCatch[]): CatchReport {
  const of = (kind: CatchKind) => answered.filter((one) => one.kind === kind);
  const missed = (list: readonly AnsweredCatch[]) => list.filter(({ right }) => right === false).length;
  const [identical, louder, overdriven] = CATCH_KINDS.map(of);
  return {
    presented: answered.length,
    missed: missed(answered),
    withRightAnswer: answered.filter(({ right }) => right !== null).length,
    identical: {
      presented: identical.length,
      choseFirst: identical.filter(({ choseFirst }) => choseFirst).length,
    },
    louder: {
      presented: louder.length,
      missed: louder.some(({ right }) => right !== null) ? missed(louder) : null,
      choseLouder: louder.filter(({ choseChanged }) => choseChanged).length,
    },
    overdriven: { presented: overdriven.length, missed: missed(overdriven) },
  };
}
