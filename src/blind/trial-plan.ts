/** What is to be tried: the kinds of trials and their settings, as they stand in a record. */
import * as v from 'valibot';

const text = v.pipe(v.string(), v.maxLength(200));
const id = v.pipe(v.string(), v.minLength(1), v.maxLength(64));
const decibels = v.pipe(v.number(), v.minValue(-120), v.maxValue(120));
const whole = (min: number, max: number) => v.pipe(v.number(), v.integer(), v.minValue(min), v.maxValue(max));

/** Most sounds that can be compared for liking. */
export const MOST_COMPARED = 8;
/** A drive search takes a range at least this wide, dB. */
export const LEAST_RANGE_DB = 2;

export const comparedSchema = v.object({
  id,
  name: text,
  /** Gain that matches its loudness, dB, as far as it is known before the start; null otherwise. */
  matchGainDb: v.nullable(decibels),
});

export const ruleSchema = v.variant('type', [
  v.object({ type: v.literal('fixed'), trials: whole(5, 100) }),
  v.object({ type: v.literal('any-time'), cap: whole(10, 400) }),
]);

const common = {
  /** Pairs at the start that count for nothing. */
  training: whole(0, 12),
  /** Whether catch trials are mixed in. */
  catchTrials: v.boolean(),
};

const controlSchema = v.object({
  id,
  name: text,
  unit: v.pipe(v.string(), v.maxLength(16)),
});

const distinct = (sides: readonly { readonly id: string }[]) =>
  new Set(sides.map((side) => side.id)).size === sides.length;
const NOT_DISTINCT = 'Two sides have the same id; give each its own.';

export const planSchema = v.variant('kind', [
  v.object({
    kind: v.literal('abx'),
    ...common,
    sides: v.pipe(
      v.tuple([comparedSchema, comparedSchema]),
      v.check((sides) => distinct(sides), NOT_DISTINCT),
    ),
    rule: ruleSchema,
  }),
  v.pipe(
    v.object({
      kind: v.literal('preference'),
      ...common,
      sides: v.pipe(
        v.array(comparedSchema),
        v.minLength(2),
        v.maxLength(MOST_COMPARED),
        v.check((sides) => distinct(sides), NOT_DISTINCT),
      ),
      rule: ruleSchema,
    }),
    v.check(
      ({ sides, rule }) => sides.length === 2 || rule.type === 'fixed',
      'More than two sides take a fixed number of trials.',
    ),
  ),
  v.pipe(
    v.object({
      kind: v.literal('drive-search'),
      ...common,
      control: controlSchema,
      min: decibels,
      max: decibels,
      trials: whole(24, 32),
      widthDb: v.pipe(v.number(), v.minValue(0), v.maxValue(24)),
    }),
    v.check(
      ({ min, max }) => max - min >= LEAST_RANGE_DB,
      `The greatest amount must lie at least ${LEAST_RANGE_DB} dB above the least.`,
    ),
  ),
  v.object({
    kind: v.literal('confirm'),
    ...common,
    control: controlSchema,
    amountDb: decibels,
    cap: whole(10, 400),
  }),
]);

export type TrialPlan = v.InferOutput<typeof planSchema>;
export type TrialKind = TrialPlan['kind'];

/** What one slot of a trial plays. */
export const stimulusSchema = v.object({
  /** Id of a side; in a drive search and in confirm trials "amount" or "clean". */
  side: id,
  /** The amount on the control where there is one; null for clean and for sides. */
  amountDb: v.nullable(decibels),
  /** Gain on top of the match, dB; only catch trials have one. */
  extraGainDb: decibels,
  /** Plainly overdriven, for a catch trial; how, the audio decides. */
  overdriven: v.boolean(),
});

export type Stimulus = v.InferOutput<typeof stimulusSchema>;

export const CLEAN_SIDE = 'clean';
export const AMOUNT_SIDE = 'amount';

/** The stimulus of a side. */
export function sideStimulus(side: string): Stimulus {
  return { side, amountDb: null, extraGainDb: 0, overdriven: false };
}

/** The stimulus of an amount on the control; null is clean. */
export function amountStimulus(amountDb: number | null): Stimulus {
  return { side: amountDb === null ? CLEAN_SIDE : AMOUNT_SIDE, amountDb, extraGainDb: 0, overdriven: false };
}

/** Sensible settings for each kind; the screen lets one change them. */
export const DEFAULTS = {
  training: 2,
  catchTrials: true,
  fixedTrials: 16,
  anyTimeCap: 60,
  driveTrials: 32,
  driveWidthDb: 1.5,
  confirmCap: 60,
} as const;

/** A trial, a plan or a record that can't be used; the message is a sentence for the user. */
export class BlindTrialError extends Error {
  override readonly name = 'BlindTrialError';
}
