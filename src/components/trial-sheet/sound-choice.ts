import { html, nothing } from 'lit';
import { live } from 'lit/directives/live.js';
import { LEAST_RANGE_DB, MOST_COMPARED } from '../../blind/trial-plan.ts';
import { type ContinuousParameter, formatValue } from '../../engine/parameters.ts';
import { findStageKind } from '../../engine/stages/catalogue.ts';
import type { ControlChoice, TrialChoice, TrialSound, TrialStage, TrialStore } from '../../stores/trial-store.ts';
import { figure } from '../format/figures.ts';
import { icons } from '../icons/icons.ts';
import '../value-slider/value-slider.ts';
import { OWN_SOUND, ownSound, soundsOf, type TrialDraft, withControl } from './trial-draft.ts';

type Set = (change: Partial<TrialDraft>) => void;

/** The sounds of the trial, or the control and the range that are searched. */
export function renderCompared(draft: TrialDraft, trials: TrialStore, set: Set) {
  if (draft.kind === 'drive-search') return renderControl(draft, trials.controls, set);
  if (trials.sounds.length < 2) return nothing;
  const sounds = soundsOf(draft, trials);
  const chosen = draft.kind === 'abx' ? draft.pair : draft.liked;
  return html`
    ${draft.kind === 'abx' ? renderPair(draft, sounds, set) : renderLiked(draft, sounds, set)}
    ${draft.own && chosen.includes(OWN_SOUND) ? renderOwn(draft.own, trials.stages, set) : nothing}
  `;
}

type Sounds = readonly TrialChoice<TrialSound>[];

function renderPair({ pair }: TrialDraft, sounds: Sounds, set: Set) {
  return html`
    ${renderSound('One sound', pair[0], sounds, (id) => set({ pair: [id, pair[1]] }))}
    ${renderSound('The other', pair[1], sounds, (id) => set({ pair: [pair[0], id] }))}
  `;
}

function renderLiked({ liked }: TrialDraft, sounds: Sounds, set: Set) {
  const unused = sounds.find(({ id }) => id !== OWN_SOUND && !liked.includes(id));
  return html`
    ${liked.map((id, i) =>
      renderSound(
        `Sound ${i + 1}`,
        id,
        sounds,
        (chosen) => set({ liked: liked.map((one, at) => (at === i ? chosen : one)) }),
        liked.length > 2 ? () => set({ liked: liked.filter((_, at) => at !== i) }) : null,
      ),
    )}
    ${
      unused && liked.length < MOST_COMPARED
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
  sounds: Sounds,
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

/** The sound that is put together here: which stage, which of its parameters, and what it is set to. */
function renderOwn(own: NonNullable<TrialDraft['own']>, stages: readonly TrialStage[], set: Set) {
  const stage = stages.find(({ rackId, stageId }) => rackId === own.rackId && stageId === own.stageId);
  const parameters = findStageKind(stage?.kind ?? '')?.parameters ?? [];
  const parameter = parameters.find(({ id }) => id === own.parameterId);
  if (!stage || !parameter) return nothing;
  const value = (next: number | string) => set({ own: { ...own, value: next } });
  return html`<div class="own" role="group" aria-label="One stage at another setting">
    ${list(
      'Stage',
      stages.map(({ name }, i) => ({ id: String(i), name })),
      String(stages.indexOf(stage)),
      (id) => set({ own: ownSound(stages[Number(id)]) }),
    )}
    ${list(
      'Parameter',
      parameters.map(({ id, label }) => ({ id, name: label })),
      parameter.id,
      (id) => set({ own: ownSound(stage, id) }),
    )}
    ${
      parameter.type === 'choice'
        ? list(
            parameter.label,
            parameter.choices.map(({ id, label }) => ({ id, name: label })),
            String(own.value),
            value,
          )
        : html`<value-slider
            .declaration=${parameter}
            .value=${Number(own.value)}
            @value-change=${(event: CustomEvent<{ value: number }>) => value(event.detail.value)}
          ></value-slider>`
    }
    <p class="small">
      In the session it is at ${formatValue(parameter, stage.params[parameter.id] ?? parameter.default)}. All else is as it
      stands there.
    </p>
  </div>`;
}

function list(
  label: string,
  choices: readonly { readonly id: string; readonly name: string }[],
  chosen: string,
  choose: (id: string) => void,
) {
  return html`<div class="row">
    <label>
      <span>${label}</span>
      <select .value=${live(chosen)} @change=${(event: Event) => choose((event.target as HTMLSelectElement).value)}>
        ${choices.map(({ id, name }) => html`<option value=${id} ?selected=${id === chosen}>${name}</option>`)}
      </select>
    </label>
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
