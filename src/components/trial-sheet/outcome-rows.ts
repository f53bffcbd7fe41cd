import { amountText } from '../../blind/trial-words.ts';
import type { TrialAnalysis } from '../../stores/trial-store.ts';
import { figure } from '../format/figures.ts';

export interface OutcomeRow {
  readonly name: string;
  readonly text: string;
  /** What the figure is, for those who want to know. */
  readonly about: string;
  /** The figure speaks against taking the result as it is. */
  readonly warns?: boolean;
}

type Result = TrialAnalysis['result'];
type Range = { readonly low: number; readonly high: number };

/** The figures of a result, each with what it means. */
export function outcomeRows(result: Result): OutcomeRow[] {
  switch (result.kind) {
    case 'abx':
      return abxRows(result);
    case 'preference':
      return preferenceRows(result);
    case 'drive-search':
      return driveRows(result);
    case 'confirm':
      return confirmRows(result);
  }
}

function abxRows(result: Extract<Result, { kind: 'abx' }>): OutcomeRow[] {
  const { correct, trials, p, eValue, interval, intervalMethod, ruledOut } = result;
  return [
    { name: 'Right', text: `${correct} of ${trials}`, about: 'Pairs that count' },
    ...evidence(p, eValue, 'Exact, one-sided: the chance of a score this good by guessing', 20),
    ...rate('Chance of being right', interval, intervalMethod === 'confidence-sequence'),
    ...(ruledOut
      ? [
          {
            name: 'Ruled out',
            text: `more than ${percent(ruledOut.rightRate)} right`,
            about: 'With 95 % confidence you are not right more often than this',
          },
          {
            name: 'that is, heard in',
            text: `more than ${percent(ruledOut.heardShare)} of pairs`,
            about: 'The same where one hears the difference in a share of pairs and guesses in the others',
          },
          {
            name: 'that is, d′ above',
            text: figure(ruledOut.dPrime, { digits: 2 }),
            about: 'The same as a difference of sensations, where each sound is judged for itself',
          },
        ]
      : []),
  ];
}

function preferenceRows(result: Extract<Result, { kind: 'preference' }>): OutcomeRow[] {
  const { names, wins, trials, p, eValue, interval } = result;
  if (names.length > 2) {
    return [
      { name: 'Pairs', text: String(trials), about: 'Pairs that count' },
      ...evidence(p, null, 'The chance of answers this uneven where no sound is preferred to another', 40),
    ];
  }
  return [
    { name: `${names[1]} chosen`, text: `${wins[1][0]} of ${trials}`, about: 'Pairs that count' },
    ...evidence(p, eValue, 'Exact, two-sided: the chance of a split this uneven without a preference', 40),
    ...rate(`Chance of choosing ${names[1]}`, interval, eValue !== null),
  ];
}

function driveRows(result: Extract<Result, { kind: 'drive-search' }>): OutcomeRow[] {
  const { answers, preferredDb, low, high, cleanProbability, preferenceFactor, misfitFactor, misfit, verdict } = result;
  return [
    {
      name: verdict === 'no-preference' ? 'Likeliest, if any' : 'Best amount',
      text: amountText(preferredDb),
      about: 'Half of the probability of the best amount lies to either side',
    },
    {
      name: '90 % interval',
      text: `${amountText(low)} to ${amountText(high)}`,
      about: 'The best amount lies here with a probability of 90 %, if the answers have one peak',
    },
    { name: 'Clean is best', text: percent(cleanProbability), about: 'Probability that any amount is too much' },
    {
      name: 'For a preference',
      text: times(preferenceFactor),
      about: 'How much better one best amount explains the answers than no preference; shown from 20 on',
    },
    {
      name: 'Against one peak',
      text: times(misfitFactor),
      about: 'How much better two separate good amounts explain the answers than one; a warning from 10 on',
      warns: misfit,
    },
    { name: 'Answers', text: String(answers), about: 'Pairs that count' },
  ];
}

function confirmRows(result: Extract<Result, { kind: 'confirm' }>): OutcomeRow[] {
  const { chosen, trials, eValueHelps, eValueHurts, interval } = result;
  return [
    { name: 'Chosen over clean', text: `${chosen} of ${trials}`, about: 'Pairs that count' },
    { name: 'E-value, it helps', text: evalue(eValueHelps), about: 'Shown from 40 on, however long one goes on' },
    { name: 'E-value, it hurts', text: evalue(eValueHurts), about: 'Shown from 40 on, however long one goes on' },
    ...rate('Chance of choosing it', interval, true),
  ];
}

function evidence(p: number | null, eValue: number | null, about: string, threshold: number): OutcomeRow[] {
  if (p !== null) return [{ name: 'p', text: p < 0.0001 ? 'below 0.0001' : p.toFixed(4), about }];
  if (eValue === null) return [];
  return [
    {
      name: 'E-value',
      text: evalue(eValue),
      about: `How much better the answers fit a real difference than chance; shown from ${threshold} on, whenever one looks`,
    },
  ];
}

function rate(name: string, interval: Range | null, sequence: boolean): OutcomeRow[] {
  if (!interval) return [];
  return [
    {
      name,
      text: `${percent(interval.low)} to ${percent(interval.high)}`,
      about: sequence ? '95 % confidence sequence: holds whenever one stops' : '95 % interval (Clopper–Pearson)',
    },
  ];
}

export function percent(share: number): string {
  return `${(100 * share).toFixed(0)} %`;
}

function evalue(e: number): string {
  return e >= 1e6 ? 'above a million' : e.toFixed(e < 100 ? 2 : 0);
}

function times(factor: number): string {
  if (factor >= 1e4) return 'above 10000 times';
  return `${Number(factor.toPrecision(2))} times`;
}
