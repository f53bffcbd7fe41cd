/** From a record of trials to what the screen says about it. */

import { BlindTrialError } from '../../blind/trial-plan.ts';
import type { TrialRecord } from '../../blind/trial-record.ts';
import { parseRecord } from '../../blind/trial-record.ts';
import { analyse } from '../../blind/trial-results.ts';
import { resultSentence } from '../../blind/trial-words.ts';
import type { KeptTrial, SessionDocument } from '../../session/document.ts';
import type { TrialOutcome } from '../../stores/trial-store.ts';
import { controlOf, foundAmount, resultCommand } from './result-command.ts';

/** @param earlier heard in another state of the session, for which amounts that are relative to it mean nothing */
export function outcomeOf(document: SessionDocument, record: TrialRecord, earlier = false): TrialOutcome {
  const analysis = analyse(record);
  const control = controlOf(document, record);
  const known = !(earlier && control?.what === 'rack');
  const found = foundAmount(record, analysis);
  return {
    record,
    analysis,
    sentence: resultSentence(analysis.result),
    apply: (known && resultCommand(document, record, analysis)?.words) || null,
    applied: false,
    canConfirm: known && record.plan.kind === 'drive-search' && control !== null && found !== null && found.db !== null,
  };
}

/** The record that a session keeps; null where it can't be read. */
export function keptRecord({ record }: KeptTrial): TrialRecord | null {
  try {
    return parseRecord(record);
  } catch (fault) {
    if (fault instanceof BlindTrialError) return null;
    throw fault;
  }
}
