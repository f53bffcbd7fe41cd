/** Which pair comes next in a session: training, catch trials, sides in turn, or what a drive search asks for. */
import { CatchSchedule, LOUDER_DB } from './catch-trials.ts';
import { DriveSearch } from './drive-search.ts';
import type { DrawLog } from './random-bits.ts';
import type { DriveAnswer } from './shape-set.ts';
import type { Source, TrialPlan } from './trial-plan.ts';
import { amountSource, sideSource } from './trial-plan.ts';
import type { RecordedTrial } from './trial-record.ts';

export class PairSource {
  readonly #plan: TrialPlan;
  readonly #log: DrawLog;
  readonly #catches: CatchSchedule;
  readonly #search: DriveSearch | null;
  /** Pairs of sides still to come in this round of all pairs. */
  #round: [Source, Source][] = [];

  constructor(plan: TrialPlan, log: DrawLog) {
    this.#plan = plan;
    this.#log = log;
    this.#search = plan.kind === 'drive-search' ? new DriveSearch(plan) : null;
    this.#catches = new CatchSchedule(log, countingTrials(plan));
  }

  get searchDone(): boolean {
    return this.#search?.done ?? false;
  }

  /** The pair for the place after `answered` trials; a discarded trial's place is drawn again, its role stays. */
  draw(answered: number): Pick<RecordedTrial, 'role' | 'catchKind' | 'pair'> {
    const { training, catchTrials } = this.#plan;
    if (answered < training) return { role: 'training', catchKind: null, pair: this.#trainingPair() };
    if (!catchTrials || !this.#catches.isCatch(answered - training)) {
      return { role: 'scored', catchKind: null, pair: this.#scoredPair() };
    }
    const catchKind = this.#catches.nextKind();
    const sources = catchKind === 'overdriven' ? this.#overdrivable() : this.#sources();
    const base = sources[this.#log.below(sources.length, 'side of a catch trial')];
    const changed = {
      identical: base,
      louder: { ...base, extraGainDb: LOUDER_DB },
      overdriven: { ...base, overdriven: true },
    }[catchKind];
    return { role: 'catch', catchKind, pair: [base, changed] };
  }

  /** A trial that counts was answered. */
  answered(pair: readonly [Source, Source], answer: DriveAnswer): void {
    this.#search?.record(answer);
    this.#round = this.#round.filter((waiting) => waiting[0] !== pair[0] || waiting[1] !== pair[1]);
  }

  /** In training the difference is as plain as it gets. */
  #trainingPair(): [Source, Source] {
    const plan = this.#plan;
    return plan.kind === 'drive-search' ? [amountSource(null), amountSource(plan.max)] : this.#scoredPair();
  }

  #scoredPair(): [Source, Source] {
    const plan = this.#plan;
    if (this.#search) {
      const [low, high] = this.#search.next(this.#log);
      return [amountSource(low), amountSource(high)];
    }
    const sources = this.#sources();
    if (sources.length === 2) return [sources[0], sources[1]];
    if (this.#round.length === 0) {
      const pairs = sources.flatMap((a, i) => sources.slice(i + 1).map((b): [Source, Source] => [a, b]));
      this.#round = this.#log.shuffled(pairs, `pairs of a ${plan.kind} round`);
    }
    return this.#round[0];
  }

  /** Of a drive search clean and the greatest amount, so that not every amount has to be rendered a second time. */
  #overdrivable(): Source[] {
    const sources = this.#sources();
    return this.#search ? [sources[0], sources[sources.length - 1]] : sources;
  }

  /** Everything that may be played unchanged. */
  #sources(): Source[] {
    const plan = this.#plan;
    switch (plan.kind) {
      case 'drive-search':
        return (this.#search as DriveSearch).amounts.map(amountSource);
      case 'confirm':
        return [amountSource(null), amountSource(plan.amountDb)];
      default:
        return plan.sides.map(({ id }) => sideSource(id));
    }
  }
}

/** How many trials will count; null where that depends on the answers. */
function countingTrials(plan: TrialPlan): number | null {
  if (plan.kind === 'drive-search') return plan.widthDb === 0 ? plan.trials : null;
  if (plan.kind === 'confirm') return null;
  return plan.rule.type === 'fixed' ? plan.rule.trials : null;
}
