/** What a result says, in sentences: the same on the screen, in the report and on the command line. */
import type { AbxResult } from './abx.ts';
import type { ConfirmResult } from './confirm.ts';
import type { DriveSearchResult } from './drive-search.ts';
import type { PreferenceResult } from './preference.ts';
import type { Amount } from './shape-set.ts';
import type { TrialResult } from './trial-results.ts';

/** One to three sentences. */
export function resultSentence(result: TrialResult): string {
  switch (result.kind) {
    case 'abx':
      return abxSentence(result);
    case 'preference':
      return preferenceSentence(result);
    case 'drive-search':
      return driveSentence(result);
    case 'confirm':
      return confirmSentence(result);
  }
}

function abxSentence({ verdict, correct, trials, p, eValue, ruledOut }: AbxResult): string {
  const score = `${correct} of ${trials} right`;
  if (verdict === 'incomplete') {
    return `${score}, but stopped before the number that was set, so no conclusion is drawn.`;
  }
  const evidence = p !== null ? small(p) : `e-value ${large(eValue)}`;
  if (verdict === 'heard') return `Heard: ${score} (${evidence}).`;
  const rest =
    ruledOut === null || ruledOut.rightRate >= 1
      ? 'No effect is ruled out.'
      : `Ruled out with 95 % confidence: being right in more than ${percent(ruledOut.rightRate)} of trials.`;
  return `No difference shown: ${score} (${evidence}). ${rest}`;
}

function preferenceSentence(result: PreferenceResult): string {
  const { verdict, names, wins, trials, preferred, p, eValue } = result;
  if (names.length > 2) return orderSentence(result);
  const score = `${names[1]} was chosen ${wins[1][0]} times of ${trials}`;
  if (verdict === 'incomplete') {
    return `${score}, but stopped before the number that was set, so no conclusion is drawn.`;
  }
  const evidence = p !== null ? small(p) : `e-value ${large(eValue)}`;
  return preferred === null
    ? `No preference shown: ${score} (${evidence}).`
    : `You prefer ${names[preferred]}: ${score} (${evidence}).`;
}

function orderSentence({ verdict, names, trials, p, scale, scaleRefused }: PreferenceResult): string {
  const found = {
    preferred: `A preference is shown in ${trials} answers (${small(p ?? 1)}).`,
    'not-shown': `No preference among them is shown in ${trials} answers (${small(p ?? 1)}).`,
    incomplete: 'Stopped before the number that was set, so no conclusion is drawn.',
  }[verdict];
  if (scale === null) return [found, scaleRefused].join(' ').trim();
  const order = [...names.keys()].sort((a, b) => scale.worth[b] - scale.worth[a]);
  return `${found} From most to least chosen: ${order.map((i) => `${names[i]} (${percent(scale.worth[i])})`).join(', ')}.`;
}

function driveSentence(result: DriveSearchResult): string {
  const { verdict, preferredDb, low, high, answers, misfit } = result;
  const range = `90 % interval ${amountText(low)} to ${amountText(high)}, ${answers} answers`;
  const found = {
    'no-preference': `No preference shown in ${answers} answers.`,
    clean: `Less is better: clean comes out best (${range}).`,
    amount: `Best at about ${amountText(preferredDb)} (${range}).`,
    greatest: `More is better up to the end of the range (${range}); widen it to find where that ends.`,
  }[verdict];
  const warning =
    ' The answers do not fit one peak: amounts in between came out worse than amounts to either side. Take no single amount from them.';
  return misfit ? found + warning : found;
}

function confirmSentence({ verdict, chosen, trials, eValueHelps, eValueHurts, interval }: ConfirmResult): string {
  const score = `chosen over clean ${chosen} times of ${trials}`;
  if (verdict === 'helps') return `It helps: ${score} (e-value ${large(eValueHelps)}).`;
  if (verdict === 'hurts') return `It hurts: ${score} (e-value ${large(eValueHurts)}).`;
  return `Neither better nor worse than clean is shown: ${score}. Ruled out with 95 % confidence: being chosen in less than ${percent(interval.low)} or more than ${percent(interval.high)} of trials.`;
}

/** "4.2 dB", "−1.0 dB" or "clean". */
export function amountText(amount: Amount): string {
  if (amount === null) return 'clean';
  const digits = Math.abs(amount).toFixed(1);
  return `${amount < 0 && Number(digits) !== 0 ? '−' : ''}${digits} dB`;
}

function small(p: number): string {
  return p < 0.0001 ? 'p below 0.0001' : `p = ${p.toFixed(4)}`;
}

function large(e: number | null): string {
  if (e === null) return '–';
  return e >= 1e6 ? 'above a million' : e.toFixed(e < 100 ? 2 : 0);
}

function percent(share: number): string {
  return `${(100 * share).toFixed(0)} %`;
}
