import { basename } from 'node:path';
import { toCsv } from '../blind/trial-csv.ts';
import type { Recomputation, TrialFigures } from '../blind/trial-figures.ts';
import { recompute } from '../blind/trial-figures.ts';
import { BlindTrialError } from '../blind/trial-plan.ts';
import type { TrialRecord } from '../blind/trial-record.ts';
import { parseRecord } from '../blind/trial-record.ts';
import { resultSentence } from '../blind/trial-words.ts';
import { CliError, UsageError } from './cli-error.ts';
import type { CliCommand } from './help.ts';
import { print, warn } from './output.ts';
import { openSession } from './read-session.ts';
import { readBytes } from './read-sound.ts';
import { signedText, table } from './sheet.ts';

interface TrialsArgs {
  readonly json?: boolean;
  readonly csv?: boolean;
  readonly number?: string;
}

export const trialsCommand: CliCommand = {
  name: 'trials',
  about: 'Every statistic of blind trials, computed again from their answers.',
  forms: ['trials RECORD.json [--json | --csv]', 'trials SESSION.json|.zip [--number N] [--json | --csv]'],
  args: {
    number: { type: 'string', valueHint: 'N', description: 'Only this one of a session; 1 is the oldest.' },
    json: { type: 'boolean', description: 'The figures as JSON, null where one is not defined.' },
    csv: { type: 'boolean', description: 'The trials of one record instead of the figures, one row each.' },
  },
  more: () =>
    [
      'Reads what a session of trials exports as JSON (ABX, preference pairs, drive search, confirm), or a saved session',
      'with all the trials that it keeps; of a session --json gives a list.',
      'Where a record states other figures than its answers give, it says so and ends with 1.',
    ].join('\n'),
  async run({ args }) {
    if (args._.length !== 1) throw new UsageError('Name one record or one session: level-best trials FILE.json');
    const { json, csv, number } = args as TrialsArgs;
    if (json && csv) throw new UsageError('--json and --csv exclude each other; leave one out.');
    const [path] = args._;
    const named = chosen(path, await readRecords(path), number);
    if (csv) {
      if (named.records.length > 1) {
        throw new CliError(`${path}: It keeps ${named.records.length} trials; choose one of them with --number.`);
      }
      print(toCsv(named.records[0].record).trimEnd());
      return;
    }
    const found = named.records.map(({ title, record }) => ({ title, record, again: recompute(record) }));
    if (json) {
      const all = found.map(({ record, again }) => trialsJson(record, again));
      print(JSON.stringify(named.isSession ? all : all[0], null, 2));
    } else print(found.map(({ title, record, again }) => trialsSheet(title, record, again)).join('\n\n\n'));
    for (const { title, again } of found) {
      for (const fault of faultsOf(again)) {
        warn(`${named.isSession ? `${path}, ${title}` : path}: ${fault}`);
        process.exitCode = 1;
      }
    }
  },
};

interface Named {
  readonly isSession: boolean;
  readonly records: readonly { readonly title: string; readonly record: TrialRecord }[];
}

async function readRecords(path: string): Promise<Named> {
  const bytes = readBytes(path);
  const isZip = bytes[0] === 0x50 && bytes[1] === 0x4b;
  const json = isZip ? null : parsed(path, bytes);
  if (isZip || (json as { format?: unknown } | null)?.format === 'level-best-session') {
    const { trials } = (await openSession(path)).document;
    if (trials.length === 0) throw new CliError(`${path}: This session keeps no blind trials.`);
    const records = trials.map(({ record }, i) => {
      const title = `trial ${i + 1}`;
      return { title, record: readRecord(`${path}, ${title}`, record) };
    });
    return { isSession: true, records };
  }
  return { isSession: false, records: [{ title: basename(path), record: readRecord(path, json) }] };
}

function chosen(path: string, { isSession, records }: Named, number: string | undefined): Named {
  if (number === undefined) return { isSession, records };
  if (!isSession) throw new UsageError('--number chooses one trial of a session; leave it out for a record.');
  const one = /^[1-9]\d*$/.test(number) ? records[Number(number) - 1] : undefined;
  if (!one) throw new CliError(`${path}: --number must be 1 to ${records.length}; it was ${number}.`);
  return { isSession, records: [one] };
}

function parsed(path: string, bytes: Uint8Array): unknown {
  try {
    return JSON.parse(new TextDecoder().decode(bytes));
  } catch {
    throw new CliError(`${path}: It is not JSON; name a record of trials or a session that Level Best has saved.`);
  }
}

function readRecord(path: string, json: unknown): TrialRecord {
  try {
    return parseRecord(json);
  } catch (error) {
    if (error instanceof BlindTrialError) throw new CliError(`${path}: ${error.message}`);
    throw error;
  }
}

/** Keys: kind, startedAt, ended, sentence, figures, disagreeing, coinsAsDrawn, result, catches. The names are a promise. */
function trialsJson(record: TrialRecord, { analysis, figures, disagreeing, coinsAsDrawn }: Recomputation) {
  const { result, catches } = analysis;
  return {
    kind: record.plan.kind,
    startedAt: record.startedAt,
    ended: record.ended,
    sentence: resultSentence(result),
    figures,
    disagreeing,
    coinsAsDrawn,
    result,
    catches,
  };
}

function trialsSheet(title: string, record: TrialRecord, { analysis, figures }: Recomputation): string {
  const { catches, discardReasons } = analysis;
  const reasons = Object.entries(discardReasons).map(([reason, count]) => `${count} ${reason}`);
  return [
    `${title}: ${record.plan.kind}, ${record.startedAt}${record.ended === 'stopped' ? ', stopped early' : ''}`,
    record.programme,
    '',
    resultSentence(analysis.result),
    '',
    table(Object.entries(figures).map(([name, value]) => [`  ${name}`, valueText(value)])),
    '',
    `Catch trials: ${catches.missed} of ${catches.withRightAnswer} missed; louder chosen ${catches.louder.choseLouder} of ${catches.louder.presented}; first of two identical chosen ${catches.identical.choseFirst} of ${catches.identical.presented}. None of them counts.`,
    ...(reasons.length > 0 ? [`Discarded: ${reasons.join(', ')}.`] : []),
  ].join('\n');
}

function faultsOf({ disagreeing, figures, coinsAsDrawn }: Recomputation): string[] {
  const faults: string[] = [];
  if (disagreeing.length > 0) {
    const own = disagreeing.map((name) => `${name} (${valueText(figures[name] ?? null)})`).join(', ');
    faults.push(`It states other figures than its answers give: ${own}. Trust the answers, or export it again.`);
  }
  if (!coinsAsDrawn) {
    faults.push("The order of its trials isn't the one that was drawn; it was changed. Export it again.");
  }
  return faults;
}

function valueText(value: TrialFigures[string]): string {
  if (value === null) return '–';
  if (typeof value === 'string') return value;
  if (Number.isInteger(value)) return signedText(value, 0);
  return Math.abs(value) < 0.001 ? value.toExponential(3).replace('-', '−') : signedText(value, 4);
}
