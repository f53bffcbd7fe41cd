/**
 * One session of blind trials from the first pair to the reveal. The screen and the simulated listeners of the tests
 * drive this same machine:
 *
 *   const scheduler = new TrialScheduler(plan, { bits, startedAt, software, device, programme });
 *   const playback = scheduler.next(seconds);      // what each slot plays: for the audio alone
 *   scheduler.answer('first', seconds, gains);     // or scheduler.discard('tab-hidden', seconds)
 *   scheduler.state                                // all that the screen may show
 *   scheduler.reveal()                             // the record, once it has ended
 *
 * `state` holds nothing that depends on which side is which. What `next` returns does: whoever calls it hands it to the
 * audio and keeps it nowhere else. Every slot's assignment is a fair coin of its own; balanced orders would let a
 * listener infer the last ones, and would break the binomial.
 */
import * as v from 'valibot';
import { catchCount } from './catch-trials.ts';
import { confirmDecided } from './confirm.ts';
import { eValue, STOP_AT } from './e-value.ts';
import { PairOrder } from './pair-order.ts';
import type { BitSource } from './random-bits.ts';
import { DrawLog } from './random-bits.ts';
import { figuresOf } from './trial-figures.ts';
import type { Stimulus, TrialKind, TrialPlan } from './trial-plan.ts';
import { BlindTrialError, planSchema } from './trial-plan.ts';
import type { DiscardReason, Gains, RecordedTrial, Slot, TrialRecord } from './trial-record.ts';
import {
  choiceOf,
  counts,
  driveAnswer,
  gainsSchema,
  isRight,
  RECORD_FORMAT,
  RECORD_VERSION,
  slotsOf,
} from './trial-record.ts';
import { analyse } from './trial-results.ts';

/** A break is due after so many trials. */
export const BREAK_AFTER = 12;
/** A pair whose loudness differs by more is discarded, LU. */
export const LARGEST_RESIDUAL_LU = 0.1;

export interface SessionFacts {
  readonly bits: BitSource;
  /** ISO 8601. */
  readonly startedAt: string;
  readonly software: string;
  readonly device: string;
  readonly programme: string;
}

/** What the screen may know. */
export interface TrialState {
  readonly kind: TrialKind;
  /** ready: `next` starts the next pair. break: it does so too, after a pause. */
  readonly phase: 'ready' | 'playing' | 'break' | 'complete' | 'stopped';
  readonly slots: readonly Slot[];
  /** The trial at hand or the next one, from 1, training and catch trials included. */
  readonly trial: number;
  /** How many there will be at most; null where that depends on the answers. */
  readonly of: number | null;
  readonly training: boolean;
  /** After a training pair in ABX: whether the answer was right. */
  readonly feedback: 'right' | 'wrong' | null;
  readonly discarded: number;
  readonly lastDiscard: DiscardReason | null;
  /** Only in ABX under the stop-any-time rule. */
  readonly score: { readonly answered: number; readonly correct: number; readonly eValue: number } | null;
}

/** What each slot plays; x is null where there is none. */
export interface SlotStimuli {
  readonly first: Stimulus;
  readonly second: Stimulus;
  readonly x: Stimulus | null;
}

export class TrialScheduler {
  readonly #plan: TrialPlan;
  readonly #facts: SessionFacts;
  readonly #log: DrawLog;
  readonly #pairs: PairOrder;
  readonly #trials: RecordedTrial[] = [];
  #phase: TrialState['phase'] = 'ready';
  #feedback: TrialState['feedback'] = null;
  #lastDiscard: DiscardReason | null = null;

  /** @throws BlindTrialError if the plan can't be carried out */
  constructor(plan: TrialPlan, facts: SessionFacts) {
    const parsed = v.safeParse(planSchema, plan);
    if (!parsed.success) throw new BlindTrialError(parsed.issues[0].message);
    this.#plan = parsed.output;
    this.#facts = facts;
    this.#log = new DrawLog(facts.bits);
    this.#pairs = new PairOrder(this.#plan, this.#log);
  }

  /** Starts the next pair and says what each slot plays: for the audio alone. @throws BlindTrialError at a wrong time */
  next(atSeconds: number): SlotStimuli {
    if (this.#phase !== 'ready' && this.#phase !== 'break') {
      throw new BlindTrialError(
        this.#phase === 'playing' ? 'Answer this pair first.' : 'These trials have ended; start new ones.',
      );
    }
    const { role, catchKind, pair } = this.#pairs.draw(this.#answered().length);
    const trial: RecordedTrial = {
      role,
      catchKind,
      pair,
      orderCoin: this.#log.coin('order'),
      xCoin: this.#plan.kind === 'abx' ? this.#log.coin('x') : null,
      startedAtSeconds: atSeconds,
      answer: null,
      endedAtSeconds: null,
      gains: null,
      discarded: null,
    };
    this.#trials.push(trial);
    this.#phase = 'playing';
    this.#feedback = null;
    this.#lastDiscard = null;
    return slotsOf(trial);
  }

  /**
   * Answers the pair at hand. Where the gains show that it wasn't matched, it is discarded instead.
   * @throws BlindTrialError if nothing is playing
   */
  answer(choice: 'first' | 'second', atSeconds: number, gains: Gains | null = null): TrialState {
    const trial = this.#current();
    if (gains !== null && !(Math.abs(gains.residualLu) <= LARGEST_RESIDUAL_LU)) {
      // What isn't a number can't stand in a record.
      this.#replace({ ...trial, gains: v.is(gainsSchema, gains) ? gains : null });
      return this.discard('not-matched', atSeconds);
    }
    const answered = {
      ...trial,
      answer: choice,
      endedAtSeconds: atSeconds,
      gains: v.is(gainsSchema, gains) ? gains : null,
    };
    this.#replace(answered);
    if (trial.role === 'training' && this.#plan.kind === 'abx') {
      this.#feedback = isRight(answered) ? 'right' : 'wrong';
    }
    if (counts(answered)) this.#pairs.answered(answered.pair, driveAnswer(answered));
    const count = this.#answered().length;
    this.#phase = this.#decided() ? 'complete' : count % BREAK_AFTER === 0 ? 'break' : 'ready';
    return this.state;
  }

  /** Takes the pair at hand out of the count; it stays in the record with the reason, and another one replaces it. */
  discard(reason: DiscardReason, atSeconds: number): TrialState {
    this.#replace({ ...this.#current(), endedAtSeconds: atSeconds, discarded: reason });
    this.#phase = 'ready';
    this.#lastDiscard = reason;
    return this.state;
  }

  /** Ends the session early; a pair at hand is discarded. */
  stop(atSeconds: number): TrialState {
    if (this.#phase === 'playing') this.discard('listener', atSeconds);
    if (this.#phase !== 'complete') this.#phase = 'stopped';
    return this.state;
  }

  get state(): TrialState {
    const plan = this.#plan;
    const done = this.#answered().length;
    const ended = this.#phase === 'complete' || this.#phase === 'stopped';
    return {
      kind: plan.kind,
      phase: this.#phase,
      slots: plan.kind === 'abx' ? ['first', 'second', 'x'] : ['first', 'second'],
      trial: ended ? done : done + 1,
      of: this.#total(),
      training: !ended && done < plan.training,
      feedback: this.#feedback,
      discarded: this.#trials.filter(({ discarded }) => discarded !== null).length,
      lastDiscard: this.#lastDiscard,
      score: this.#score(),
    };
  }

  /** The record with its figures. @throws BlindTrialError before the end */
  reveal(): TrialRecord {
    if (this.#phase !== 'complete' && this.#phase !== 'stopped') {
      throw new BlindTrialError('The sides are shown when the trials have ended; finish them or stop.');
    }
    const { startedAt, software, device, programme } = this.#facts;
    const trials = this.#trials.map((trial) => ({ ...trial }));
    return {
      format: RECORD_FORMAT,
      version: RECORD_VERSION,
      plan: this.#plan,
      startedAt,
      software,
      device,
      programme,
      draws: [...this.#log.draws],
      trials,
      ended: this.#phase,
      stated: figuresOf(analyse({ plan: this.#plan, trials })),
    };
  }

  #current(): RecordedTrial {
    if (this.#phase !== 'playing') throw new BlindTrialError('No pair is playing; start the next one.');
    return this.#trials[this.#trials.length - 1];
  }

  #replace(trial: RecordedTrial): void {
    this.#trials[this.#trials.length - 1] = trial;
  }

  #answered(): RecordedTrial[] {
    return this.#trials.filter(({ answer }) => answer !== null);
  }

  #decided(): boolean {
    const plan = this.#plan;
    const counted = this.#trials.filter(counts);
    switch (plan.kind) {
      case 'drive-search':
        return this.#pairs.searchDone;
      case 'confirm': {
        const chosen = counted.filter((trial) => choiceOf(trial).winner.side !== 'clean').length;
        return counted.length >= plan.cap || confirmDecided(chosen, counted.length);
      }
      default: {
        if (plan.rule.type === 'fixed') return counted.length >= plan.rule.trials;
        if (counted.length >= plan.rule.cap) return true;
        if (plan.kind === 'abx') return eValue(counted.filter(isRight).length, counted.length) >= STOP_AT;
        const second = counted.filter((trial) => choiceOf(trial).winner.side === plan.sides[1].id).length;
        return confirmDecided(second, counted.length);
      }
    }
  }

  /** The most trials there can be, where that is known and doesn't depend on what was drawn. */
  #total(): number | null {
    const plan = this.#plan;
    if (plan.kind === 'confirm') return null;
    if (plan.kind !== 'drive-search' && plan.rule.type !== 'fixed') return null;
    const counting = plan.kind === 'drive-search' ? plan.trials : plan.rule.type === 'fixed' ? plan.rule.trials : 0;
    return plan.training + counting + (plan.catchTrials ? catchCount(counting) : 0);
  }

  #score(): TrialState['score'] {
    const plan = this.#plan;
    if (plan.kind !== 'abx' || plan.rule.type !== 'any-time') return null;
    const counted = this.#trials.filter(counts);
    const correct = counted.filter(isRight).length;
    return { answered: counted.length, correct, eValue: eValue(correct, counted.length) };
  }
}
