import { html, LitElement, nothing } from 'lit';
import { customElement, query } from 'lit/decorators.js';
import type { PlayerStore } from '../../stores/player-store.ts';
import type { TrialState, TrialStore } from '../../stores/trial-store.ts';
import { base } from '../base/base.styles.ts';
import { callout } from '../base/callout.styles.ts';
import { playerContext, trialContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { icons } from '../icons/icons.ts';
import { monitor } from '../transport-bar/monitor.ts';
import '../value-slider/value-slider.ts';
import { Answering, type Choice } from './answering.ts';
import { afterWords, answerWords, breakWords, goWords, SLOT_NAMES, scoreWords, stopWords } from './running-words.ts';
import './stop-question.ts';
import type { StopQuestion } from './stop-question.ts';
import { bindTrialKeys, TRIAL_KEYS } from './trial-keys.ts';
import { styles } from './trial-running.styles.ts';

/**
 * A blind trial while it runs: which pair it is, a button for each sound and one for each answer, and nothing that
 * depends on which sound is which.
 */
@customElement('trial-running')
export class TrialRunning extends LitElement {
  static override styles = [base, callout, styles];

  @store(trialContext) private trials?: TrialStore;
  @store(playerContext) private player?: PlayerStore;
  @query('stop-question') private question!: StopQuestion | null;
  @query('.go') private go!: HTMLButtonElement | null;
  readonly #answering = new Answering(this, () => this.trials);
  #waited = false;
  #releaseKeys: (() => void) | undefined;

  override connectedCallback(): void {
    super.connectedCallback();
    window.addEventListener('beforeunload', this.#onLeave);
    this.#releaseKeys = bindTrialKeys(window, {
      asking: () => this.question?.open ?? false,
      hear: (slot) => this.#answering.hear(slot),
      choose: (choice) => this.#answering.choose(choice),
      enter: () => this.#answering.enter(),
      space: () => {
        if (this.#answering.waiting) this.#answering.enter();
      },
      sounding: () => !this.#answering.waiting && this.trials?.muted === false,
      muted: () => this.trials?.muted ?? false,
      setMuted: (on) => this.trials?.setMuted(on),
    });
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#releaseKeys?.();
    window.removeEventListener('beforeunload', this.#onLeave);
  }

  /** Answers that were given are lost with the page, so the browser asks. */
  readonly #onLeave = (event: BeforeUnloadEvent): void => event.preventDefault();

  override updated(): void {
    const { waiting } = this.#answering;
    // Between pairs the other buttons are off, and a focus on one of them would be lost.
    if (waiting && !this.#waited && !this.question?.open) this.go?.focus();
    this.#waited = waiting;
  }

  override render() {
    const { trials } = this;
    const now = trials?.state;
    if (!trials || !now) return nothing;
    return html`<section aria-label="Blind trial">
      ${this.renderHeader(now)} ${this.renderSlots(now)} ${this.renderAnswers(now)} ${this.renderGo(now)}
      ${trials.muted ? this.renderMuted() : nothing}
      <p class="hidden" role="status">${this.spoken(now)}</p>
      ${renderKeys(now)}
      <stop-question .words=${stopWords(now)} @stop-trial=${() => trials.stop()}></stop-question>
    </section>`;
  }

  private renderHeader(now: TrialState) {
    return html`<header>
      <p class="count">
        <b>${`Pair ${now.trial}`}</b>${ofHowMany(now)}
        ${now.training ? html`<span class="training">Training: it doesn’t count</span>` : nothing}
      </p>
      ${now.score === null ? nothing : html`<p class="score">${scoreWords(now.score)}</p>`}
      <div class="tools">
        <button
          aria-pressed=${this.trials!.muted}
          ?disabled=${this.#answering.waiting}
          @click=${() => this.trials!.setMuted(!this.trials!.muted)}>
          ${icons.mute}<span>${this.trials!.muted ? 'Muted' : 'Mute'}</span>
        </button>
        <button class="quiet" @click=${() => this.question?.ask()}>Stop…</button>
      </div>
    </header>`;
  }

  private renderSlots({ slots }: TrialState) {
    const { slot: chosen, muted } = this.trials!;
    const sounding = this.#answering.waiting || muted ? null : chosen;
    return html`<div class="slots" role="group" aria-label="Hear">
      ${slots.map(
        (slot, i) => html`<button
          aria-pressed=${slot === sounding}
          ?disabled=${this.#answering.waiting}
          @pointerdown=${keepFocus}
          @click=${() => this.#answering.hear(slot)}
        >
          <kbd aria-hidden="true">${i + 1}</kbd><b>${SLOT_NAMES[slot]}</b
          ><small>${slot === sounding ? 'you hear this' : 'hear it'}</small>
        </button>`,
      )}
    </div>`;
  }

  private renderAnswers(now: TrialState) {
    const { question, first, second } = answerWords(now.kind);
    const option = (choice: Choice, words: string, key: string) => html`<button
      aria-pressed=${this.#answering.choice === choice}
      ?disabled=${this.#answering.waiting}
      @pointerdown=${keepFocus}
      @click=${() => this.#answering.choose(choice)}
    >
      <i class="mark" aria-hidden="true"></i><span>${words}</span><kbd aria-hidden="true">${key}</kbd>
    </button>`;
    return html`<div class="answers" role="group" aria-labelledby="question">
      <p id="question">${question}</p>
      ${option('first', first, 'F')} ${option('second', second, 'S')}
    </div>`;
  }

  private renderGo(now: TrialState) {
    const { waiting, hint, choice } = this.#answering;
    const { remark, slot } = this.trials!;
    const resting = waiting && now.phase === 'break';
    return html`<div class="next">
      <div class="said">
        ${resting ? html`<p><b>Rest your ears.</b> ${breakWords(now)}</p>` : nothing}
        <p>${waiting ? (remark ?? afterWords(now)) : (hint ?? (slot === null ? 'The first sound comes in.' : ''))}</p>
      </div>
      <button class="primary go" aria-disabled=${!waiting && choice === null} @keydown=${this.onGoKey} @keyup=${this.onGoKey} @click=${() => this.#answering.enter()}>
        ${goWords(now, waiting)} <kbd aria-hidden="true">Enter</kbd>
      </button>
    </div>`;
  }

  /** Loud sound is the reason to mute: here is where one turns it down. */
  private renderMuted() {
    const { player } = this;
    return html`<div class="callout warning muted">
      <p>Muted. If it was too loud, turn the monitor down. Press Escape or hear a sound to go on.</p>
      ${
        player
          ? html`<value-slider
              .declaration=${monitor}
              .value=${player.monitorDb}
              @value-change=${(event: CustomEvent<{ value: number }>) => player.setMonitorDb(event.detail.value)}
            ></value-slider>`
          : nothing
      }
    </div>`;
  }

  /** For screen readers, which see no pressed button while the focus is elsewhere. */
  private spoken(now: TrialState): string {
    const { trials } = this;
    const { waiting, choice, hint } = this.#answering;
    if (trials!.muted) return 'Muted.';
    if (waiting)
      return [trials!.remark ?? afterWords(now), now.phase === 'break' ? breakWords(now) : ''].join(' ').trim();
    const pair = `Pair ${now.trial}${ofHowMany(now)}${now.training ? ', training' : ''}.`;
    const heard = trials!.slot ? `You hear ${SLOT_NAMES[trials!.slot]}.` : '';
    const chosen = choice === null ? '' : `Chosen: ${answerWords(now.kind)[choice]}.`;
    return [pair, heard, chosen, hint ?? ''].filter(Boolean).join(' ');
  }

  /** Space on the button starts pairs but never answers; some browsers press by its coming up. */
  private onGoKey(event: KeyboardEvent): void {
    if (event.repeat || (event.key === ' ' && !this.#answering.waiting)) event.preventDefault();
  }
}

/** A click leaves the focus on the button that Enter presses. */
function keepFocus(event: PointerEvent): void {
  event.preventDefault();
}

function renderKeys({ kind }: TrialState) {
  return html`<ul class="keys" aria-label="Keys">
    ${TRIAL_KEYS.map(([keys, does]) => {
      const shown = kind === 'abx' ? keys : keys.filter((key) => key !== '3');
      return html`<li>
        ${shown.map((key) => html`<kbd>${key}</kbd> `)}${kind === 'abx' ? does : does.replace(', X', '')}
      </li>`;
    })}
  </ul>`;
}

/** A drive search may end before its last pair. */
function ofHowMany({ of, kind }: TrialState): string {
  if (of === null) return '';
  return kind === 'drive-search' ? ` of at most ${of}` : ` of ${of}`;
}

declare global {
  interface HTMLElementTagNameMap {
    'trial-running': TrialRunning;
  }
}
