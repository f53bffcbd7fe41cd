import { html, nothing } from 'lit';
import { live } from 'lit/directives/live.js';
import type { ContinuousParameter } from '../../engine/parameters.ts';
import type { ControlChoice, TrialStore } from '../context/trial-store.ts';
import { figure } from '../format/figures.ts';
import { icons } from '../icons/icons.ts';
import '../value-slider/value-slider.ts';
import { LEAST_RANGE_DB, MOST_SOUNDS, type TrialDraft, withControl } from './trial-draft.ts';

type Set = (change: Partial<TrialDraft>) => void;

/** The sounds of the trial, or the control and the range that are searched. */
export function renderCompared(draft: TrialDraft, trials: TrialStore, set: Set) {
  if (draft.kind === 'drive-search') return renderControl(draft, trials.controls, set);
  if (trials.sounds.length < 2) return nothing;
  return draft.kind === 'abx' ? renderPair(draft, trials, set) : renderLiked(draft, trials, set);
}

function renderPair({ pair }: TrialDraft, trials: TrialStore, set: Set) {
  return html`
    ${renderSound('One sound', pair[0], trials, (id) => set({ pair: [id, pair[1]] }))}
    ${renderSound('The other', pair[1], trials, (id) => set({ pair: [pair[0], id] }))}
  `;
}

function renderLiked({ liked }: TrialDraft, trials: TrialStore, set: Set) {
  const unused = trials.sounds.find(({ id }) => !liked.includes(id));
  return html`
    ${liked.map((id, i) =>
      renderSound(
        `Sound ${i + 1}`,
        id,
        trials,
        (chosen) => set({ liked: liked.map((one, at) => (at === i ? chosen : one)) }),
        liked.length > 2 ? () => set({ liked: liked.filter((_, at) => at !== i) }) : null,
      ),
    )}
    ${
      unused && liked.length < MOST_SOUNDS
        ? html`<button class="quiet add" @click=${() => set({ liked: [...liked, unused.id] })}>
            ${icons.add}<span>Another sound</span>
          </button>`
        : nothing
    }
  `;
}

function renderSound(
  label: string,
  chosen: string,
  { sounds }: TrialStore,
  choose: (id: string) => void,
  remove: (() => void) | null = null,
) {
  return html`<div class="row">
    <label>
      <span>${label}</span>
      <select .value=${live(chosen)} @change=${(event: Event) => choose((event.target as HTMLSelectElement).value)}>
        ${sounds.map(({ id, name }) => html`<option value=${id} ?selected=${id === chosen}>${name}</option>`)}
      </select>
    </label>
    ${
      remove === null
        ? nothing
        : html`<button class="icon quiet" title=${`Take ${label.toLowerCase()} out`} @click=${remove}>
            ${icons.remove}<span class="hidden">Take ${label.toLowerCase()} out</span>
          </button>`
    }
  </div>`;
}

function renderControl(draft: TrialDraft, controls: readonly ControlChoice[], set: Set) {
  const control = controls.find(({ id }) => id === draft.controlId);
  if (!control) return nothing;
  const choose = (id: string) => {
    const chosen = controls.find((one) => one.id === id);
    if (chosen) set(withControl(draft, chosen));
  };
  return html`
    <div class="row">
      <label>
        <span>Control</span>
        <select
          .value=${live(control.id)}
          @change=${(event: Event) => choose((event.target as HTMLSelectElement).value)}
        >
          ${controls.map(({ id, name }) => html`<option value=${id} ?selected=${id === control.id}>${name}</option>`)}
        </select>
      </label>
    </div>
    <value-slider
      .declaration=${amount('least', 'Least', control, control.min)}
      .value=${draft.min}
      @value-change=${(event: CustomEvent<{ value: number }>) => set({ min: event.detail.value })}
    ></value-slider>
    <value-slider
      .declaration=${amount('greatest', 'Greatest', control, control.max)}
      .value=${draft.max}
      @value-change=${(event: CustomEvent<{ value: number }>) => set({ max: event.detail.value })}
    ></value-slider>
    <p class="small">
      Now at ${figure(control.nowDb, { digits: 1, signed: true })} dB. Clean is tried too. A range of
      ${LEAST_RANGE_DB} dB is the narrowest; 12 dB or so around what you would choose is usual.
    </p>
  `;
}

function amount(id: string, label: string, control: ControlChoice, home: number): ContinuousParameter {
  return {
    id,
    label,
    about: `The ${label.toLowerCase()} amount that is tried.`,
    place: 'face',
    type: 'continuous',
    unit: 'dB',
    min: control.least,
    max: control.greatest,
    default: home,
    taper: 'linear',
    step: 0.5,
    digits: 1,
  };
}
