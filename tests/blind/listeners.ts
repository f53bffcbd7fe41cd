/** Listeners that exist only as numbers, and plans for them. They sit before the shipped scheduler like anyone else. */

import { bitsFrom } from '../../src/blind/random-bits.ts';
import type { SessionFacts, SlotStimuli, TrialState } from '../../src/blind/scheduler.ts';
import { TrialScheduler } from '../../src/blind/scheduler.ts';
import type { Amount } from '../../src/blind/shape-set.ts';
import type { Stimulus, TrialPlan } from '../../src/blind/trial-plan.ts';
import type { TrialRecord } from '../../src/blind/trial-record.ts';
import { seededRandom } from '../../src/dsp/random.ts';

export type Answer = 'first' | 'second';
export type Listener = (playback: SlotStimuli, state: TrialState) => Answer;
type Random = () => number;

export function facts(random: Random): SessionFacts {
  return {
    bits: bitsFrom(random),
    startedAt: '2026-03-02T19:30:00Z',
    software: 'level-best 0.1.0',
    device: 'headphones in the control room',
    programme: 'Harbour Hall sextet, bars 5 to 8',
  };
}

const SIDES = [
  { id: 'clean', name: 'Clean', matchGainDb: 0 },
  { id: 'coloured', name: 'Coloured', matchGainDb: -1.25 },
] as const;

type PlanOf<Kind extends TrialPlan['kind']> = Extract<TrialPlan, { kind: Kind }>;

export function abxPlan(rule: PlanOf<'abx'>['rule'], more: Partial<PlanOf<'abx'>> = {}): PlanOf<'abx'> {
  return { kind: 'abx', training: 2, catchTrials: true, sides: [SIDES[0], SIDES[1]], rule, ...more };
}

export function preferencePlan(
  rule: PlanOf<'preference'>['rule'],
  names = ['Clean', 'Coloured'],
): PlanOf<'preference'> {
  const sides = names.map((name) => ({ id: name.toLowerCase(), name, matchGainDb: null }));
  return { kind: 'preference', training: 0, catchTrials: true, sides, rule };
}

const CONTROL = { id: 'reeds/1/drive', name: 'Reeds bus, soft clip, drive', unit: 'dB' };

export function drivePlan(more: Partial<PlanOf<'drive-search'>> = {}): PlanOf<'drive-search'> {
  const settings = { min: 0, max: 12, trials: 24, widthDb: 0 };
  return { kind: 'drive-search', training: 0, catchTrials: true, control: CONTROL, ...settings, ...more };
}

export function confirmPlan(amountDb: number, cap = 60): PlanOf<'confirm'> {
  return { kind: 'confirm', training: 0, catchTrials: true, control: CONTROL, amountDb, cap };
}

/** Plays a session to its end. */
export function run(plan: TrialPlan, listener: Listener, random: Random): TrialRecord {
  const scheduler = new TrialScheduler(plan, facts(random));
  for (let seconds = 0; ; seconds += 10) {
    const { phase } = scheduler.state;
    if (phase === 'complete' || phase === 'stopped') return scheduler.reveal();
    const playback = scheduler.next(seconds);
    scheduler.answer(listener(playback, scheduler.state), seconds + 8.5);
  }
}

/** Answers by a coin of their own. */
export function guesser(random: Random): Listener {
  return () => (random() < 0.5 ? 'first' : 'second');
}

/** Names X rightly in a share of trials. */
export function abxListener(rightRate: number, random: Random): Listener {
  return ({ first, x }) => {
    const right: Answer = x === first ? 'first' : 'second';
    return random() < rightRate ? right : right === 'first' ? 'second' : 'first';
  };
}

export interface Habits {
  readonly lapse: number;
  readonly orderBias: number;
}

/** Chooses by utility: λ/2 + (1 − λ)·logistic(u₂ − u₁ + b). */
export function chooser(
  utility: (stimulus: Stimulus) => number,
  { lapse, orderBias }: Habits,
  random: Random,
): Listener {
  return ({ first, second }) => {
    const ahead = utility(second) - utility(first) + orderBias;
    return random() < lapse / 2 + (1 - lapse) / (1 + Math.exp(-ahead)) ? 'second' : 'first';
  };
}

export interface TwoSlopes {
  readonly peak: number;
  /** Logits per dB below the peak. */
  readonly slope: number;
  /** Slope above the peak as a multiple of the one below. */
  readonly ratio: number;
  /** How far clean lies below the least amount, dB. */
  readonly gap: number;
}

export function twoSlopes({ peak, slope, ratio, gap }: TwoSlopes): (amount: Amount) => number {
  return (amount) => {
    const at = amount ?? -gap;
    return at < peak ? -slope * (peak - at) : -slope * ratio * (at - peak);
  };
}

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return (sorted[(sorted.length - 1) >> 1] + sorted[sorted.length >> 1]) / 2;
}

export { seededRandom };
