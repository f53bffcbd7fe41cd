import type { Stimulus } from './trial-plan.ts';
import type { RecordedTrial, TrialRecord } from './trial-record.ts';
import { slotsOf } from './trial-record.ts';

/** The trials of a record as comma-separated values (RFC 4180), one row each, for a spreadsheet or for R. */
export function toCsv(record: TrialRecord): string {
  const rows = record.trials.map((trial, i) => row(record, trial, i));
  const header = Object.keys(rows[0] ?? row(record, EMPTY, 0));
  return [header, ...rows.map((cells) => Object.values(cells))]
    .map((cells) => `${cells.map(cell).join(',')}\r\n`)
    .join('');
}

/** The whole record as JSON, indented. */
export function toJson(record: TrialRecord): string {
  return `${JSON.stringify(record, null, 2)}\n`;
}

const NO_STIMULUS: Stimulus = { side: '', amountDb: null, extraGainDb: 0, overdriven: false };
/** Gives an empty record its header. */
const EMPTY: RecordedTrial = {
  role: 'scored',
  catchKind: null,
  pair: [NO_STIMULUS, NO_STIMULUS],
  orderCoin: 0,
  xCoin: null,
  startedAtSeconds: 0,
  answer: null,
  endedAtSeconds: null,
  gains: null,
  discarded: null,
};

type Cell = string | number | boolean | null;

function row(record: TrialRecord, trial: RecordedTrial, index: number): Record<string, Cell> {
  const { first, second, x } = slotsOf(trial);
  const chosen = trial.answer === null ? null : trial.answer === 'first' ? first : second;
  return {
    trial: index + 1,
    kind: record.plan.kind,
    role: trial.role,
    catch_kind: trial.catchKind,
    ...stimulusCells('first', first),
    ...stimulusCells('second', second),
    x_is: x === null ? null : trial.xCoin === 0 ? 'first' : 'second',
    order_coin: trial.orderCoin,
    x_coin: trial.xCoin,
    answer: trial.answer,
    chosen_side: chosen?.side ?? null,
    right: trial.xCoin === null || trial.answer === null ? null : (trial.answer === 'first') === (trial.xCoin === 0),
    started_s: trial.startedAtSeconds,
    ended_s: trial.endedAtSeconds,
    first_gain_db: trial.gains?.firstDb ?? null,
    second_gain_db: trial.gains?.secondDb ?? null,
    residual_lu: trial.gains?.residualLu ?? null,
    discarded: trial.discarded,
  };
}

function stimulusCells(slot: 'first' | 'second', stimulus: Stimulus): Record<string, Cell> {
  return {
    [`${slot}_side`]: stimulus.side,
    [`${slot}_amount_db`]: stimulus.amountDb,
    [`${slot}_extra_gain_db`]: stimulus.extraGainDb,
    [`${slot}_overdriven`]: stimulus.overdriven,
  };
}

/** Text that a spreadsheet would take for a formula gets an apostrophe in front. */
function cell(value: Cell): string {
  if (value === null) return '';
  if (typeof value !== 'string') return String(value);
  const plain = /^[=+\-@\t\r]/.test(value) ? `'${value}` : value;
  return /[",\r\n]/.test(plain) ? `"${plain.replaceAll('"', '""')}"` : plain;
}
