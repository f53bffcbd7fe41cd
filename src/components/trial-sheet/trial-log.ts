import { html } from 'lit';
import type { Stimulus } from '../../blind/trial-plan.ts';
import { isRight, slotsOf } from '../../blind/trial-record.ts';
import { amountText } from '../../blind/trial-words.ts';
import type { RecordedTrial, TrialRecord } from '../../stores/trial-store.ts';
import { clock, figure } from '../format/figures.ts';
import { reasonWords } from './listening-notes.ts';

/** Every pair as it was drawn, heard and answered. */
export function renderLog(record: TrialRecord) {
  const abx = record.plan.kind === 'abx';
  return html`<table class="log">
    <caption class="hidden">
      Every pair in order
    </caption>
    <thead>
      <tr>
        <th scope="col">pair</th>
        <th scope="col">counts as</th>
        <th scope="col">first</th>
        <th scope="col">second</th>
        ${abx ? html`<th scope="col">X was</th>` : ''}
        <th scope="col">answer</th>
        <th scope="col">${abx ? 'right' : 'chosen'}</th>
        <th scope="col">coins <small>order${abx ? ', X' : ''}</small></th>
        <th scope="col">apart <small>LU</small></th>
        <th scope="col">took <small>s</small></th>
      </tr>
    </thead>
    <tbody>
      ${record.trials.map((trial, i) => renderTrial(record, trial, i, abx))}
    </tbody>
  </table>`;
}

function renderTrial(record: TrialRecord, trial: RecordedTrial, index: number, abx: boolean) {
  const { first, second } = slotsOf(trial);
  const { answer, xCoin, orderCoin, startedAtSeconds, endedAtSeconds, gains, discarded } = trial;
  const chosen = answer === null ? null : answer === 'first' ? first : second;
  const verdict = abx ? (answer === null ? '–' : isRight(trial) ? 'yes' : 'no') : chosen ? nameOf(record, chosen) : '–';
  return html`<tr class=${discarded ? 'discarded' : trial.role}>
    <th scope="row">${index + 1}</th>
    <td>${discarded ? `discarded: ${reasonWords(discarded)}` : roleOf(trial)}</td>
    <td>${nameOf(record, first)}</td>
    <td>${nameOf(record, second)}</td>
    ${abx ? html`<td>${xCoin === 0 ? 'the first' : 'the second'}</td>` : ''}
    <td>${answer === null ? '–' : `the ${answer}`}</td>
    <td>${verdict}</td>
    <td>${orderCoin}${xCoin === null ? '' : `, ${xCoin}`}</td>
    <td>${figure(gains?.residualLu, { digits: 2 })}</td>
    <td>${figure(endedAtSeconds === null ? null : endedAtSeconds - startedAtSeconds, { digits: 0 })}</td>
  </tr>`;
}

/** Every draw of the session, so that others can check that the coins are those that were thrown. */
export function renderDraws({ draws }: TrialRecord) {
  return html`<table class="draws">
    <caption class="hidden">
      Every draw in order
    </caption>
    <thead>
      <tr>
        <th scope="col">draw</th>
        <th scope="col">what for</th>
        <th scope="col">drawn</th>
        <th scope="col">of</th>
      </tr>
    </thead>
    <tbody>
      ${draws.map(
        ({ purpose, value, of }, i) => html`<tr>
          <th scope="row">${i + 1}</th>
          <td>${purpose}</td>
          <td>${value}</td>
          <td>0 to ${of - 1}</td>
        </tr>`,
      )}
    </tbody>
  </table>`;
}

function roleOf({ role, catchKind }: RecordedTrial): string {
  if (role === 'training') return 'training';
  if (catchKind === null) return 'counted';
  return { identical: 'check: the same twice', louder: 'check: one louder', overdriven: 'check: one overdriven' }[
    catchKind
  ];
}

/** What was heard, by its name on the screen. */
function nameOf({ plan }: TrialRecord, { side, amountDb, extraGainDb, overdriven }: Stimulus): string {
  const sides = plan.kind === 'abx' || plan.kind === 'preference' ? plan.sides : null;
  const name = sides ? (sides.find(({ id }) => id === side)?.name ?? side) : amountText(amountDb);
  return `${name}${extraGainDb === 0 ? '' : ` ${figure(extraGainDb, { digits: 0, signed: true, unit: 'dB' })}`}${overdriven ? ', overdriven' : ''}`;
}

/** What was asked, of which sounds. */
export function subjectOf({ plan }: TrialRecord): string {
  switch (plan.kind) {
    case 'abx':
      return `Can I hear it? ${plan.sides[0].name} against ${plan.sides[1].name}`;
    case 'preference':
      return `Which do I like? ${plan.sides.map(({ name }) => name).join(', ')}`;
    case 'drive-search':
      return `How much is best? ${plan.control.name}, ${amountText(plan.min)} to ${amountText(plan.max)}`;
    case 'confirm':
      return `Does it help? ${plan.control.name} at ${amountText(plan.amountDb)} against clean`;
  }
}

/** When, with what and over what was listened. */
export function conditionsOf({ startedAt, software, device, programme, trials }: TrialRecord): string {
  const last = trials.reduce((latest, { endedAtSeconds }) => Math.max(latest, endedAtSeconds ?? 0), 0);
  const parts = [dateOf(startedAt), last > 0 ? `took ${clock(last, 0)}` : '', programme, device, software];
  return parts.filter((part) => part !== '').join(' · ');
}

/** A date in the reader's own form; what isn't a date stays as it stands. */
export function dateOf(startedAt: string): string {
  const date = new Date(startedAt);
  if (Number.isNaN(date.getTime())) return startedAt;
  return date.toLocaleString([], { dateStyle: 'medium', timeStyle: 'short' });
}
