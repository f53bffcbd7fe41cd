/** What a trial can show, said before it starts. */

import { ALPHA, fixedPlan } from '../../blind/abx.ts';
import { minimumAgreeing, power } from '../../blind/binomial.ts';
import { catchCount } from '../../blind/catch-trials.ts';
import { CONFIRM_AT } from '../../blind/confirm.ts';
import { FEWEST_ANSWERS } from '../../blind/drive-search.ts';
import { eValue, STOP_AT } from '../../blind/e-value.ts';
import { stopPower } from '../../blind/stop-power.ts';
import { DEFAULTS } from '../../blind/trial-plan.ts';
import type { TrialQuestion } from '../../stores/trial-store.ts';

/** Hearing a pair and answering, s. */
const SECONDS_PER_PAIR = 25;
const SKILLS = [0.7, 0.8] as const;

/** Two to four sentences; catch trials count into the time. */
export function expectationOf(question: TrialQuestion): string[] {
  switch (question.kind) {
    case 'abx':
      return question.rule.type === 'fixed' ? abxFixed(question.rule.trials) : anyTime('heard', question.rule.cap);
    case 'preference':
      if (question.sounds.length > 2) return scale(question.sounds.length, question.rule);
      return question.rule.type === 'fixed'
        ? preferenceFixed(question.rule.trials)
        : anyTime('preferred', question.rule.cap);
    case 'drive-search':
      return [
        `It asks for at most ${question.trials} answers, and stops after ${FEWEST_ANSWERS} or more once a preference is shown and its interval is ${DEFAULTS.driveWidthDb} dB wide.`,
        'It ends with the amount you like best and a 90 % interval, with clean, or with "no preference shown".',
        `It takes up to ${minutes(question.trials)}.`,
      ];
    case 'confirm':
      return anyTime('confirmed', question.cap);
  }
}

function abxFixed(trials: number): string[] {
  const { needed, power: chance } = fixedPlan(trials);
  if (needed === null) return [`${trials} trials are too few to show anything. Choose more.`];
  return [
    `You must be right in at least ${needed} of ${trials} trials; guessing does that in at most 5 % of such tests.`,
    skills((rate) => chance(rate), 'right'),
    `It takes about ${minutes(trials)}.`,
  ];
}

function preferenceFixed(trials: number): string[] {
  const needed = minimumAgreeing(trials, ALPHA);
  if (needed === null) return [`${trials} trials are too few to show anything. Choose more.`];
  return [
    `You must choose the same side in at least ${needed} of ${trials} trials; without a preference that happens in at most 5 % of such tests.`,
    skills((rate) => power(needed, trials, rate), 'for one side'),
    `It takes about ${minutes(trials)}.`,
  ];
}

function anyTime(what: 'heard' | 'preferred' | 'confirmed', cap: number): string[] {
  const at = what === 'heard' ? STOP_AT : CONFIRM_AT;
  const shown = (rate: number) => stopPower(rate, cap, (count, n) => eValue(count, n) >= at);
  const ends = {
    heard: `It ends by itself when the evidence reaches ${at} to 1, and after ${cap} trials at the latest; you may stop at any time.`,
    preferred: `It ends by itself when the evidence for one side reaches ${at} to 1, and after ${cap} trials at the latest; you may stop at any time.`,
    confirmed: `It ends by itself when the evidence for or against the amount reaches ${at} to 1, and after ${cap} trials at the latest; you may stop at any time.`,
  }[what];
  const typical = Math.round(shown(SKILLS[1]).trials);
  return [
    ends,
    skills((rate) => shown(rate).chance, what === 'heard' ? 'right' : 'for one side'),
    `Whoever is ${what === 'heard' ? 'right' : 'for one side'} in ${percent(SKILLS[1])} of trials needs ${typical} on average, about ${minutes(typical)}; all ${cap} take ${minutes(cap)}.`,
  ];
}

function scale(sounds: number, rule: { readonly type: string; readonly trials?: number }): string[] {
  const pairs = (sounds * (sounds - 1)) / 2;
  const trials = rule.trials ?? 0;
  const rounds = trials / pairs;
  return [
    `${sounds} sounds make ${pairs} pairs; ${trials} trials hear each ${rounds >= 1 ? `${rounds.toFixed(1).replace('.0', '')} times` : 'less than once'}.`,
    rounds >= 4
      ? 'The answers place all sounds on one scale, with a range of error for each.'
      : `Choose at least ${4 * pairs} trials, four for each pair, to place them on one scale.`,
    `It takes about ${minutes(trials)}.`,
  ];
}

function skills(chance: (rate: number) => number, what: 'right' | 'for one side'): string {
  const [low, high] = SKILLS;
  return `Whoever is ${what} in ${percent(low)} of trials passes with a chance of ${percent(chance(low))}, in ${percent(high)} with ${percent(chance(high))}.`;
}

function minutes(counting: number): string {
  const pairs = DEFAULTS.training + counting + catchCount(counting);
  const count = Math.max(1, Math.round((pairs * SECONDS_PER_PAIR) / 60));
  return `${count} ${count === 1 ? 'minute' : 'minutes'}`;
}

function percent(share: number): string {
  return `${Math.round(100 * share)} %`;
}
