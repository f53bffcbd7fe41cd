/** Which pair comes next in a session: training, catch trials, sides in turn, or what a drive search asks for. */
import { CatchSchedule, LOUDER_DB } from './catch-trials.ts';
import { DriveSearch } from './drive-search.ts';
import type { DrawLog } from './random-bits.ts';
import type { DriveAnswer } from './shape-set.ts';
import type { Stimulus, TrialPlan } from './trial-plan.ts';
import { amountStimulus, sideStimulus } from './trial-plan.ts';
import type { RecordedTrial } from './trial-record.ts';

export class PairOrder {
  readonly #plan: TrialPlan;
  readonly #log: DrawLog;
  readonly #catches: CatchSchedule;
  readonly #search: DriveSearch | null;
  /** Pairs of sides still to come in this round of all pairs. */
  #round: [Stimulus, Stimulus][] = [];

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
    const stimuli = catchKind === 'overdriven' ? this.#overdrivable() : this.#stimuli();
    const base = stimuli[this.#log.below(stimuli.length, 'side of a catch trial')];
    const changed = {
      identical: base,
      louder: { ...base, extraGainDb: LOUDER_DB },
      overdriven: { ...base, overdriven: true },
    }[catchKind];
    return { role: 'catch', catchKind, pair: [base, changed] };
  }

  /** A trial that counts was answered. */
  answered(pair: readonly [Stimulus, Stimulus], answer: DriveAnswer): void {
    this.#search?.record(answer);
    this.#round = this.#round.filter((waiting) => waiting[0] !== pair[0] || waiting[1] !== pair[1]);
  }

  /** In training the difference is as plain as it gets. */
  #trainingPair(): [Stimulus, Stimulus] {
    const plan = this.#plan;
    return plan.kind === 'drive-search' ? [amountStimulus(null), amountStimulus(plan.max)] : this.#scoredPair();
  }

  #scoredPair(): [Stimulus, Stimulus] {
    const plan = this.#plan;
    if (this.#search) {
      const [low, high] = this.#search.next(this.#log);
      return [amountStimulus(low), amountStimulus(high)];
    }
    const stimuli = this.#stimuli();
    if (stimuli.length === 2) return [stimuli[0], stimuli[1]];
    if (this.#round.length === 0) {
      const pairs = stimuli.flatMap((a, i) => stimuli.slice(i + 1).map((b): [Stimulus, Stimulus] => [a, b]));
      this.#round = this.#log.shuffled(pairs, `pairs of a ${plan.kind} round`);
    }
    return this.#round[0];
  }

  /** Of a drive search clean and the greatest amount, so that not every amount has to be rendered a second time. */
  #overdrivable(): Stimulus[] {
    const stimuli = this.#stimuli();
    return this.#search ? [stimuli[0], stimuli[stimuli.length - 1]] : stimuli;
  }

  /** Everything that may be played unchanged. */
  #stimuli(): Stimulus[] {
    const plan = this.#plan;
    switch (plan.kind) {
      case 'drive-search':
        return (this.#search as DriveSearch).amounts.map(amountStimulus);
      case 'confirm':
        return [amountStimulus(null), amountStimulus(plan.amountDb)];
      default:
        return plan.sides.map(({ id }) => sideStimulus(id));
    }
  }
}

/** How many trials will count; null where that depends on the answers. */
function countingTrials(plan: TrialPlan): number | null {
  if (plan.kind === 'drive-search') return plan.widthDb === 0 ? plan.trials : null;
  if (plan.kind === 'confirm') return null;
  return plan.rule.type === 'fixed' ? plan.rule.trials : null;
}
