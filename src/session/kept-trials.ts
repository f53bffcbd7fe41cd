import * as v from 'valibot';
import { LIMITS } from './limits.ts';
import type { KeptTrial, SessionDocument } from './schema.ts';
import { trialSchema } from './schema.ts';

/**
 * Keeps a blind trial with the session, in place. It is no step of undo (`History.adopt`): what was heard was heard.
 * False where there is no room for it, or where it isn't a record.
 */
export function keepTrial(draft: SessionDocument, trial: KeptTrial): boolean {
  const { trials } = draft;
  if (trials.length >= LIMITS.trials || trials.some(({ id }) => id === trial.id)) return false;
  if (!v.is(trialSchema, trial) || JSON.stringify([...trials, trial]).length > LIMITS.trialRecords) return false;
  trials.push(trial);
  return true;
}
