import * as v from 'valibot';
import { CATCH_KINDS } from './catch-trials.ts';
import type { Stimulus } from './trial-plan.ts';
import { BlindTrialError, planSchema, stimulusSchema } from './trial-plan.ts';

/** The record of one session of trials: everything that was drawn, played and answered, so that others can check it. */

export const RECORD_FORMAT = 'level-best-trials';
export const RECORD_VERSION = 1;

/** Why a trial was discarded. */
export const DISCARD_REASONS = [
  'not-matched',
  'sound-interrupted',
  'tab-hidden',
  'device-changed',
  'loop-silent',
  'listener',
] as const;
export type DiscardReason = (typeof DISCARD_REASONS)[number];

const seconds = v.pipe(v.number(), v.minValue(0));
const decibels = v.pipe(v.number(), v.minValue(-120), v.maxValue(120));
const coin = v.picklist([0, 1]);
const text = v.pipe(v.string(), v.maxLength(500));

export const gainsSchema = v.object({
  /** Gains that were applied, match and common attenuation together, dB. */
  firstDb: decibels,
  secondDb: decibels,
  /** Loudness difference that was left before any extra gain of a catch trial, LU. */
  residualLu: decibels,
});

const trialSchema = v.pipe(
  v.object({
    role: v.picklist(['training', 'scored', 'catch']),
    catchKind: v.nullable(v.picklist(CATCH_KINDS)),
    /** The two stimuli before the coin is thrown. In a catch trial the second is the changed one. */
    pair: v.tuple([stimulusSchema, stimulusSchema]),
    /** 0: the pair is heard as it stands; 1: its second comes first. */
    orderCoin: coin,
    /** ABX: 0, X is what is heard as the first; 1, as the second. */
    xCoin: v.nullable(coin),
    startedAtSeconds: seconds,
    answer: v.nullable(v.picklist(['first', 'second'])),
    endedAtSeconds: v.nullable(seconds),
    gains: v.nullable(gainsSchema),
    discarded: v.nullable(v.picklist(DISCARD_REASONS)),
  }),
  v.check(({ role, catchKind }) => (role === 'catch') === (catchKind !== null), 'A catch trial needs its kind.'),
  v.check(({ answer, discarded }) => answer === null || discarded === null, 'A discarded trial has no answer.'),
);

export const recordSchema = v.object({
  format: v.literal(RECORD_FORMAT),
  version: v.literal(RECORD_VERSION),
  plan: planSchema,
  /** Start of the session, ISO 8601. */
  startedAt: text,
  software: text,
  /** What was listened with, as far as it is known. */
  device: text,
  /** The loop that was heard, for people. */
  programme: text,
  /** Every draw of the session in its order: a number below `of`. */
  draws: v.array(v.object({ purpose: text, of: v.number(), value: v.number() })),
  trials: v.array(trialSchema),
  ended: v.picklist(['complete', 'stopped']),
  /** The figures as they were shown at the end, by name. */
  stated: v.record(v.string(), v.nullable(v.union([v.number(), v.string()]))),
});

export type TrialRecord = v.InferOutput<typeof recordSchema>;
export type RecordedTrial = TrialRecord['trials'][number];
export type Gains = v.InferOutput<typeof gainsSchema>;
export type Slot = 'first' | 'second' | 'x';

/** What was heard in each slot. X is one of the other two. */
export function slotsOf(trial: Pick<RecordedTrial, 'pair' | 'orderCoin' | 'xCoin'>): Record<
  'first' | 'second',
  Stimulus
> & {
  x: Stimulus | null;
} {
  const [first, second] = trial.orderCoin === 0 ? trial.pair : [trial.pair[1], trial.pair[0]];
  return { first, second, x: trial.xCoin === null ? null : trial.xCoin === 0 ? first : second };
}

/**
 * Reads a record from parsed JSON.
 * @throws BlindTrialError with a sentence that says what is wrong and what to do.
 */
export function parseRecord(input: unknown): TrialRecord {
  if (typeof input !== 'object' || input === null || (input as { format?: unknown }).format !== RECORD_FORMAT) {
    throw new BlindTrialError('This is not a record of trials. Name a JSON file that Level Best has exported.');
  }
  const { version } = input as { version?: unknown };
  if (typeof version === 'number' && version > RECORD_VERSION) {
    throw new BlindTrialError(
      `This record is of version ${version}, newer than this tool reads (${RECORD_VERSION}). Update Level Best; the file stays as it is.`,
    );
  }
  const result = v.safeParse(recordSchema, input);
  if (!result.success) {
    const issue = result.issues[0];
    throw new BlindTrialError(
      `The record is damaged at "${v.getDotPath(issue) ?? 'top'}": ${issue.message.replace(/\.?$/, '.')} Export it again from the session.`,
    );
  }
  const record = result.output;
  for (const [i, trial] of record.trials.entries()) {
    const known = sidesOf(record);
    const unknown = trial.pair.find(({ side }) => !known.includes(side));
    if (unknown) {
      throw new BlindTrialError(
        `The record is damaged at "trials.${i}": It plays "${unknown.side}", which the plan doesn't have. Export it again from the session.`,
      );
    }
    if ((trial.xCoin !== null) !== (record.plan.kind === 'abx')) {
      throw new BlindTrialError(
        `The record is damaged at "trials.${i}": Trials have an X in ABX and only there. Export it again from the session.`,
      );
    }
  }
  return record;
}

function sidesOf({ plan }: TrialRecord): string[] {
  return plan.kind === 'abx' || plan.kind === 'preference' ? plan.sides.map((side) => side.id) : ['clean', 'amount'];
}

/** Whether the trial counts: neither training, nor a catch trial, nor discarded, and answered. */
export function counts(trial: RecordedTrial): boolean {
  return trial.role === 'scored' && trial.discarded === null && trial.answer !== null;
}

/** ABX: whether the answer names what X is. */
export function isRight(trial: RecordedTrial): boolean {
  return (trial.answer === 'first') === (trial.xCoin === 0);
}

/** What was chosen of an answered pair, and what was not. */
export function choiceOf(trial: RecordedTrial) {
  const { first, second } = slotsOf(trial);
  return trial.answer === 'first' ? { winner: first, loser: second } : { winner: second, loser: first };
}

/** One answer of a drive search in the order it was heard. */
export function driveAnswer(trial: RecordedTrial) {
  const { first, second } = slotsOf(trial);
  return { first: first.amountDb, second: second.amountDb, chosen: trial.answer as 'first' | 'second' };
}
