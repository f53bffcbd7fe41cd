import { consume } from '@lit/context';
import { html, LitElement, nothing } from 'lit';
import { customElement, query, state } from 'lit/decorators.js';
import { base } from '../base/base.styles.ts';
import { type PlayerStore, playerContext } from '../context/stores.ts';
import { type Slot, type TrialState, type TrialStore, trialContext } from '../context/trial-store.ts';
import { Watch } from '../context/watch.ts';
import { icons } from '../icons/icons.ts';
import { monitor } from '../transport-bar/monitor.ts';
import '../value-slider/value-slider.ts';
import {
  afterWords,
  answerWords,
  breakWords,
  goWords,
  hearFirstWords,
  SLOT_NAMES,
  scoreWords,
  stopWords,
} from './running-words.ts';
import { bindTrialKeys, TRIAL_KEYS } from './trial-keys.ts';
import { styles } from './trial-running.styles.ts';

type Choice = 'first' | 'second';

/**
 * A blind trial while it runs: which pair it is, a button for each sound and one for each answer, and nothing that
 * depends on which sound is which. An answer is chosen first and given by a second press, so that no slip counts.
 */
@customElement('trial-running')
export class TrialRunning extends LitElement {
  static override styles = [base, styles];

  @consume({ context: trialContext, subscribe: true }) private trials?: TrialStore;
  @consume({ context: playerContext, subscribe: true }) private player?: PlayerStore;
  @state() private choice: Choice | null = null;
  /** What keeps the answer from being given. */
  @state() private hint: string | null = null;
  @query('dialog') private dialog!: HTMLDialogElement | null;
  @query('.go') private go!: HTMLButtonElement | null;
  /** Slots that sounded since the pair began. */
  readonly #heard = new Set<Slot>();
  #starting = false;
  #waited = false;
  #releaseKeys: (() => void) | undefined;

  constructor() {
    super();
    new Watch(this, () => this.trials);
    new Watch(this, () => this.player);
  }

  override connectedCallback(): void {
    super.connectedCallback();
    window.addEventListener('beforeunload', this.#onLeave);
    this.#releaseKeys = bindTrialKeys(window, {
      asking: () => this.dialog?.open ?? false,
      hear: (slot) => this.hear(slot),
      choose: (choice) => this.choose(choice),
      enter: () => this.enter(),
      space: () => {
        if (this.waiting) this.enter();
      },
      mute: () => this.trials?.setMuted(!this.trials.muted),
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
    const { waiting } = this;
    // Between pairs the other buttons are off, and a focus on one of them would be lost.
    if (waiting && !this.#waited && !this.dialog?.open) this.go?.focus();
    this.#waited = waiting;
  }

  override willUpdate(): void {
    this.noteHeard();
    if (this.waiting) this.choice = null;
  }

  /** Between two pairs. */
  private get waiting(): boolean {
    return this.trials?.state?.phase !== 'playing' || this.trials.held;
  }

  override render() {
    const { trials } = this;
    const now = trials?.state;
    if (!trials || !now) return nothing;
    return html`<section aria-label="Blind trial">
      ${this.renderHeader(now)} ${this.renderSlots(now)} ${this.renderAnswers(now)} ${this.renderGo(now)}
      ${trials.muted ? this.renderMuted() : nothing}
      <p class="hidden" role="status">${this.spoken(now)}</p>
      ${renderKeys(now)} ${this.renderStop(now)}
    </section>`;
  }

  private renderHeader(now: TrialState) {
    return html`<header>
      <p class="count">
        <b>${`Pair ${now.trial}`}</b>${now.of === null ? nothing : html` of ${now.of}`}
        ${now.training ? html`<span class="training">Training: it doesn’t count</span>` : nothing}
      </p>
      ${now.score === null ? nothing : html`<p class="score">${scoreWords(now.score)}</p>`}
      <div class="tools">
        <button
          aria-pressed=${this.trials!.muted}
          ?disabled=${this.waiting}
          @click=${() => this.trials!.setMuted(!this.trials!.muted)}>
          ${icons.mute}<span>${this.trials!.muted ? 'Muted' : 'Mute'}</span>
        </button>
        <button class="quiet" @click=${() => this.dialog?.showModal()}>Stop…</button>
      </div>
    </header>`;
  }

  private renderSlots({ slots }: TrialState) {
    const { slot: chosen, muted } = this.trials!;
    const sounding = this.waiting || muted ? null : chosen;
    return html`<div class="slots" role="group" aria-label="Hear">
      ${slots.map(
        (slot, i) => html`<button
          aria-pressed=${slot === sounding}
          ?disabled=${this.waiting}
          @pointerdown=${keepFocus}
          @click=${() => this.hear(slot)}
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
      aria-pressed=${this.choice === choice}
      ?disabled=${this.waiting}
      @pointerdown=${keepFocus}
      @click=${() => this.choose(choice)}
    >
      <i class="mark" aria-hidden="true"></i><span>${words}</span><kbd aria-hidden="true">${key}</kbd>
    </button>`;
    return html`<div class="answers" role="group" aria-labelledby="question">
      <p id="question">${question}</p>
      ${option('first', first, 'F')} ${option('second', second, 'S')}
    </div>`;
  }

  private renderGo(now: TrialState) {
    const { waiting, hint, choice } = this;
    const { remark, slot } = this.trials!;
    const resting = waiting && now.phase === 'break';
    return html`<div class="next">
      <div class="said">
        ${resting ? html`<p><b>Rest your ears.</b> ${breakWords(now)}</p>` : nothing}
        <p>${waiting ? (remark ?? afterWords(now)) : (hint ?? (slot === null ? 'The first sound comes in.' : ''))}</p>
      </div>
      <button class="go" aria-disabled=${!waiting && choice === null} @keydown=${this.onGoKey} @click=${this.enter}>
        ${goWords(now, waiting)} <kbd aria-hidden="true">Enter</kbd>
      </button>
    </div>`;
  }

  /** Loud sound is the reason to mute: here is where one turns it down. */
  private renderMuted() {
    const { player } = this;
    return html`<div class="muted">
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

  private renderStop(now: TrialState) {
    return html`<dialog aria-labelledby="stop">
      <h2 id="stop">Stop the trial here?</h2>
      <p>${stopWords(now)}</p>
      <div class="buttons">
        <button autofocus @click=${() => this.dialog?.close()}>Go on listening</button>
        <button class="main" @click=${this.stop}>Stop and show what there is</button>
      </div>
    </dialog>`;
  }

  /** For screen readers, which see no pressed button while the focus is elsewhere. */
  private spoken(now: TrialState): string {
    const { trials, waiting, choice } = this;
    if (trials!.muted) return 'Muted.';
    if (waiting)
      return [trials!.remark ?? afterWords(now), now.phase === 'break' ? breakWords(now) : ''].join(' ').trim();
    const pair = `Pair ${now.trial}${now.of === null ? '' : ` of ${now.of}`}${now.training ? ', training' : ''}.`;
    const heard = trials!.slot ? `You hear ${SLOT_NAMES[trials!.slot]}.` : '';
    const chosen = choice === null ? '' : `Chosen: ${answerWords(now.kind)[choice]}.`;
    return [pair, heard, chosen, this.hint ?? ''].filter(Boolean).join(' ');
  }

  private hear(slot: Slot): void {
    if (this.waiting || !this.trials?.state?.slots.includes(slot)) return;
    if (this.trials.muted) this.trials.setMuted(false);
    this.trials.hear(slot);
    this.noteHeard();
    this.hint = null;
  }

  /** Several changes may come between two renderings. */
  private noteHeard(): void {
    const { trials } = this;
    if (trials?.slot && !trials.muted) this.#heard.add(trials.slot);
  }

  private choose(choice: Choice): void {
    if (this.waiting) return;
    this.choice = choice;
    this.hint = null;
  }

  private readonly enter = (): void => {
    if (this.waiting) void this.next();
    else this.answer();
  };

  private async next(): Promise<void> {
    const { trials } = this;
    if (!trials || this.#starting) return;
    this.#starting = true;
    this.#heard.clear();
    this.choice = null;
    this.hint = null;
    try {
      if (trials.muted) trials.setMuted(false);
      await trials.next();
      this.noteHeard();
    } finally {
      this.#starting = false;
    }
  }

  private answer(): void {
    const { trials, choice } = this;
    const now = trials?.state;
    if (!trials || !now || this.#starting) return;
    const unheard = now.slots.filter((slot) => !this.#heard.has(slot));
    if (unheard.length > 0) this.hint = hearFirstWords(unheard);
    else if (choice === null) this.hint = 'Choose an answer first: F or S.';
    else {
      this.hint = null;
      this.choice = null;
      trials.answer(choice);
    }
  }

  /** Space on the button starts pairs but never answers. */
  private onGoKey(event: KeyboardEvent): void {
    if (event.repeat || (event.key === ' ' && !this.waiting)) event.preventDefault();
  }

  private stop(): void {
    this.dialog?.close();
    this.trials?.stop();
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

declare global {
  interface HTMLElementTagNameMap {
    'trial-running': TrialRunning;
  }
}
