import { html, LitElement, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import type { PlayerStore } from '../../stores/player-store.ts';
import type { TrialStore } from '../../stores/trial-store.ts';
import { base } from '../base/base.styles.ts';
import { callout } from '../base/callout.styles.ts';
import { disclosure } from '../base/disclosure.styles.ts';
import { segments } from '../base/segments.styles.ts';
import { playerContext, trialContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { icons } from '../icons/icons.ts';
import { bindEscape } from '../keys/escape.ts';
import { monitor } from '../transport-bar/monitor.ts';
import '../value-slider/value-slider.ts';
import './loop-choice.ts';
import { renderCount } from './count-choice.ts';
import { CHECKS, LEVEL, LOADING, QUESTIONS } from './setup-words.ts';
import { renderCompared } from './sound-choice.ts';
import { questionOf, SHORTEST_LOOP, type TrialDraft } from './trial-draft.ts';
import { styles } from './trial-setup.styles.ts';

/**
 * What is to be found out, with which sounds, over which stretch and in how many pairs; and what that can show.
 *
 * @fires draft-change - `CustomEvent<TrialDraft>` with the setup as it was changed.
 */
@customElement('trial-setup')
export class TrialSetup extends LitElement {
  static override styles = [base, callout, segments, disclosure, styles];

  @store(trialContext) private trials?: TrialStore;
  @store(playerContext) private player?: PlayerStore;
  @property({ attribute: false }) draft!: TrialDraft;

  #releaseEscape: (() => void) | undefined;

  override connectedCallback(): void {
    super.connectedCallback();
    this.#releaseEscape = bindEscape(window, {
      sounding: () => this.player?.playing ?? false,
      silence: () => this.player?.stop(),
    });
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#releaseEscape?.();
  }

  override render() {
    const { trials, draft } = this;
    if (!trials || !draft) return nothing;
    const set = (change: Partial<TrialDraft>) => this.change({ ...draft, ...change });
    const question = this.player?.state === 'loading' ? LOADING : questionOf(draft, trials);
    return html`<div class="columns">
      <div class="form">
        ${this.renderQuestions()}
        <fieldset>
          <legend>${draft.kind === 'drive-search' ? 'What to turn' : 'What to compare'}</legend>
          ${renderCompared(draft, trials, set)}
        </fieldset>
        <fieldset>
          <legend>How many pairs</legend>
          ${renderCount(draft, set)}
        </fieldset>
        <fieldset>
          <legend>What to listen to</legend>
          <loop-choice></loop-choice>
        </fieldset>
      </div>
      <div class="aside">
        <section aria-labelledby="show">
          <h2 id="show">What it can show</h2>
          ${
            typeof question === 'string'
              ? html`<p class="callout warning missing">${question}</p>`
              : html`<ul>
                  ${trials.expectation(question).map((sentence) => html`<li>${sentence}</li>`)}
                </ul>`
          }
        </section>
        <section aria-labelledby="goes">
          <h2 id="goes">How it goes</h2>
          <ol>
            ${QUESTIONS.find(({ kind }) => kind === draft.kind)?.steps.map((step) => html`<li>${step}</li>`)}
          </ol>
          <p class="small">${CHECKS}</p>
        </section>
        ${this.renderLevel()} ${this.renderStart()}
      </div>
    </div>`;
  }

  private renderQuestions() {
    const { draft } = this;
    return html`<fieldset>
      <legend>What do you want to find out?</legend>
      <div class="segments large questions">
        ${QUESTIONS.map(
          ({ kind, name, about }) => html`<label>
            <input
              type="radio"
              name="kind"
              value=${kind}
              aria-describedby=${`about-${kind}`}
              .checked=${kind === draft.kind}
              @change=${() => this.change({ ...draft, kind })}
            /><span><b>${name}</b><small id=${`about-${kind}`}>${about}</small></span>
          </label>`,
        )}
      </div>
    </fieldset>`;
  }

  /** One sets the level while the session plays, before anything has to be judged. */
  private renderLevel() {
    const { player } = this;
    if (!player) return nothing;
    const { playing, state } = player;
    const busy = state === 'loading' || state === 'starting';
    return html`<section aria-labelledby="level">
      <h2 id="level">Level</h2>
      <p>${LEVEL}</p>
      <value-slider
        .declaration=${monitor}
        .value=${player.monitorDb}
        @value-change=${(event: CustomEvent<{ value: number }>) => player.setMonitorDb(event.detail.value)}
      ></value-slider>
      <button class="listen" ?disabled=${busy && !playing} @click=${this.listen}>
        ${playing ? icons.stop : icons.play}<span>${playing ? 'Stop' : 'Play from the loop’s start'}</span>
      </button>
    </section>`;
  }

  private renderStart() {
    const { refusal, durationSeconds } = this.trials!;
    const ready =
      this.player?.state !== 'loading' &&
      typeof questionOf(this.draft, this.trials!) !== 'string' &&
      durationSeconds >= SHORTEST_LOOP;
    return html`${refusal === null ? nothing : html`<p class="callout fault refusal" role="alert">${refusal}</p>`}
      <button class="primary start" ?disabled=${!ready} @click=${this.start}>Prepare the trial</button>
      <p class="small">Every sound is rendered and matched in loudness first. Then you start the first pair yourself.</p>`;
  }

  private listen(): void {
    const { player } = this;
    if (!player) return;
    if (player.playing) {
      player.stop();
      return;
    }
    player.seek(this.trials!.loop.startSeconds);
    void player.play();
  }

  private start(): void {
    const question = questionOf(this.draft, this.trials!);
    if (typeof question === 'string') return;
    if (this.player?.playing) this.player.stop();
    void this.trials!.prepare(question);
  }

  private change(draft: TrialDraft): void {
    this.dispatchEvent(new CustomEvent('draft-change', { detail: draft }));
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'trial-setup': TrialSetup;
  }
}
