import type { KeptTrial, SessionDocument } from '../../session/document.ts';
import type { TrialOutcome } from '../../stores/trial-store.ts';
import { keptRecord, outcomeOf } from './outcome.ts';

/**
 * The trials that a session keeps, evaluated once each. What one offers to apply is looked at again when it is shown,
 * since the session goes on.
 */
export class EarlierOutcomes {
  readonly #outcomes = new WeakMap<KeptTrial, TrialOutcome | null>();

  /** Newest first; those that can't be read are left out. */
  of(document: SessionDocument): TrialOutcome[] {
    return document.trials.flatMap((trial) => this.#outcomeOf(document, trial) ?? []).reverse();
  }

  idOf(document: SessionDocument, outcome: TrialOutcome): string | null {
    return document.trials.find((trial) => this.#outcomes.get(trial) === outcome)?.id ?? null;
  }

  #outcomeOf(document: SessionDocument, trial: KeptTrial): TrialOutcome | null {
    const known = this.#outcomes.get(trial);
    if (known !== undefined) return known;
    const record = keptRecord(trial);
    const outcome = record && outcomeOf(document, record, true);
    this.#outcomes.set(trial, outcome);
    return outcome;
  }
}
