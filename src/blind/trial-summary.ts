import type { TrialFigures } from './trial-figures.ts';
import { figuresOf } from './trial-figures.ts';
import { BlindTrialError } from './trial-plan.ts';
import { parseRecord } from './trial-record.ts';
import { analyse } from './trial-results.ts';
import { resultSentence } from './trial-words.ts';

/** A record of trials in a few words and figures: what a report says of it. */
export interface TrialSummary {
  readonly kind: string;
  readonly startedAt: string;
  readonly programme: string;
  readonly sentence: string;
  /** Computed again from the answers. */
  readonly figures: TrialFigures;
}

const KINDS = {
  abx: 'ABX',
  preference: 'Preference',
  'drive-search': 'Drive search',
  confirm: 'Confirm trials',
} as const;

/** One summary for each record; of one that can't be read the sentence says why. */
export function trialSummaries(kept: readonly { readonly record: unknown }[]): TrialSummary[] {
  return kept.map(({ record }) => summaryOf(record));
}

function summaryOf(input: unknown): TrialSummary {
  try {
    const record = parseRecord(input);
    const analysis = analyse(record);
    const { startedAt, programme } = record;
    const sentence = resultSentence(analysis.result);
    return { kind: KINDS[record.plan.kind], startedAt, programme, sentence, figures: figuresOf(analysis) };
  } catch (fault) {
    if (!(fault instanceof BlindTrialError)) throw fault;
    return { kind: 'Blind trial', startedAt: '', programme: '', sentence: fault.message, figures: {} };
  }
}
