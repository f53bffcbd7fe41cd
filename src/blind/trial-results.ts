/**
 * Every statistic of a record, from its plan, coins and answers alone. The screen, the command line and the simulated
 * listeners all come here, so there is one way to a result.
 */
import type { AbxResult } from './abx.ts';
import { abxResult } from './abx.ts';
import type { AnsweredCatch, CatchReport } from './catch-trials.ts';
import { catchReport } from './catch-trials.ts';
import type { ConfirmResult } from './confirm.ts';
import { confirmResult } from './confirm.ts';
import type { DriveSearchResult } from './drive-search.ts';
import { DriveSearch } from './drive-search.ts';
import type { PreferenceResult } from './preference.ts';
import { preferenceResult } from './preference.ts';
import { AMOUNT_SIDE } from './trial-plan.ts';
import type { DiscardReason, RecordedTrial, TrialRecord } from './trial-record.ts';
import { choiceOf, counts, DISCARD_REASONS, driveAnswer, isRight } from './trial-record.ts';

export type TrialResult = AbxResult | PreferenceResult | DriveSearchResult | ConfirmResult;

export interface Analysis {
  readonly result: TrialResult;
  readonly catches: CatchReport;
  /** Answered trials that count, and how often the first of the pair was chosen in them: a habit shows here. */
  readonly counted: number;
  readonly choseFirst: number;
  readonly training: number;
  readonly discarded: number;
  readonly discardReasons: Partial<Record<DiscardReason, number>>;
}

/** Recomputes everything that can be said about the trials. */
export function analyse(record: Pick<TrialRecord, 'plan' | 'trials'>): Analysis {
  const counted = record.trials.filter(counts);
  const discarded = record.trials.filter((trial) => trial.discarded !== null);
  const reasons = DISCARD_REASONS.map(
    (reason) => [reason, discarded.filter((trial) => trial.discarded === reason).length] as const,
  );
  return {
    result: resultOf(record.plan, counted),
    catches: catchReport(record.trials.flatMap(answeredCatch)),
    counted: counted.length,
    choseFirst: counted.filter(({ answer }) => answer === 'first').length,
    training: record.trials.filter(({ role, answer }) => role === 'training' && answer !== null).length,
    discarded: discarded.length,
    discardReasons: Object.fromEntries(reasons.filter(([, count]) => count > 0)),
  };
}

function resultOf(plan: TrialRecord['plan'], counted: readonly RecordedTrial[]): TrialResult {
  switch (plan.kind) {
    case 'abx':
      return abxResult(counted.filter(isRight).length, counted.length, plan.rule);
    case 'preference': {
      const ids = plan.sides.map(({ id }) => id);
      const wins = ids.map(() => ids.map(() => 0));
      for (const trial of counted) {
        const { winner, loser } = choiceOf(trial);
        wins[ids.indexOf(winner.side)][ids.indexOf(loser.side)]++;
      }
      return preferenceResult(
        wins,
        plan.sides.map(({ name }) => name),
        plan.rule,
      );
    }
    case 'drive-search': {
      const search = new DriveSearch(plan);
      for (const trial of counted) search.record(driveAnswer(trial));
      return search.result();
    }
    case 'confirm':
      return confirmResult(
        counted.filter((trial) => choiceOf(trial).winner.side === AMOUNT_SIDE).length,
        counted.length,
      );
  }
}

function answeredCatch(trial: RecordedTrial): AnsweredCatch[] {
  const { catchKind: kind, answer, discarded, orderCoin, xCoin } = trial;
  if (kind === null || answer === null || discarded !== null) return [];
  const choseFirst = answer === 'first';
  // The changed sound is the pair's second, which the coin may have put first.
  const choseChanged = kind === 'identical' ? null : choseFirst === (orderCoin === 1);
  const right =
    kind === 'identical' ? null : xCoin !== null ? isRight(trial) : kind === 'overdriven' ? !choseChanged : null;
  return [{ kind, choseFirst, choseChanged, right }];
}
