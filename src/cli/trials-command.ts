import { basename } from 'node:path';
import { ListeningError } from '../listening/listening-error.ts';
import { toCsv } from '../listening/trial-csv.ts';
import type { Figures, Recomputation } from '../listening/trial-figures.ts';
import { recompute } from '../listening/trial-figures.ts';
import type { TrialRecord } from '../listening/trial-record.ts';
import { parseRecord } from '../listening/trial-record.ts';
import { resultSentence } from '../listening/trial-words.ts';
import { CliError, UsageError } from './cli-error.ts';
import type { Command } from './help.ts';
import { print, warn } from './output.ts';
import { readBytes } from './read-sound.ts';
import { signedText, table } from './sheet.ts';

export const trialsCommand: Command = {
  name: 'trials',
  about: 'Every statistic of a record of blind trials, computed again from its answers.',
  forms: ['trials FILE.json [--json | --csv]'],
  args: {
    json: { type: 'boolean', description: 'The figures as JSON, null where one is not defined.' },
    csv: { type: 'boolean', description: 'The trials instead of the figures, one row each.' },
  },
  more: () =>
    [
      'Reads what a session of trials exports as JSON: ABX, preference pairs, drive search, confirm.',
      'Where the record states other figures than its answers give, it says so and ends with 1.',
    ].join('\n'),
  async run({ args }) {
    if (args._.length !== 1) throw new UsageError('Name one record: level-best trials FILE.json');
    if (args.json && args.csv) throw new UsageError('--json and --csv exclude each other; leave one out.');
    const [path] = args._;
    const record = readRecord(path);
    if (args.csv) {
      print(toCsv(record).trimEnd());
      return;
    }
    const again = recompute(record);
    print(args.json ? JSON.stringify(trialsJson(record, again), null, 2) : trialsSheet(basename(path), record, again));
    const faults = faultsOf(again);
    for (const fault of faults) warn(`${path}: ${fault}`);
    if (faults.length > 0) process.exitCode = 1;
  },
};

function readRecord(path: string): TrialRecord {
  let json: unknown;
  try {
    json = JSON.parse(new TextDecoder().decode(readBytes(path)));
  } catch (error) {
    if (error instanceof CliError) throw error;
    throw new CliError(`${path}: It is not JSON; name a record of trials that Level Best has exported.`);
  }
  try {
    return parseRecord(json);
  } catch (error) {
    if (error instanceof ListeningError) throw new CliError(`${path}: ${error.message}`);
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

function valueText(value: Figures[string]): string {
  if (value === null) return '–';
  if (typeof value === 'string') return value;
  if (Number.isInteger(value)) return signedText(value, 0);
  return Math.abs(value) < 0.001 ? value.toExponential(3).replace('-', '−') : signedText(value, 4);
}
