import { html, LitElement, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import type { PlayerStore } from '../../stores/player-store.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { base } from '../base/base.styles.ts';
import { playerContext, sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { clock } from '../format/figures.ts';
import { icons } from '../icons/icons.ts';
import '../value-slider/value-slider.ts';
import '../wave-line/wave-line.ts';
import { monitor } from './monitor.ts';
import { PlayClock } from './play-clock.ts';
import { styles } from './transport-bar.styles.ts';

/**
 * Play, where the sound is, how loud one listens, and silence at once.
 *
 * @slot - the switch, on a narrow screen where it stands beside Play.
 */
@customElement('transport-bar')
export class TransportBar extends LitElement {
  static override styles = [base, styles];

  @store(sessionContext) private session?: SessionStore;
  @store(playerContext) private player?: PlayerStore;
  @property({ type: Boolean, reflect: true }) narrow = false;

  constructor() {
    super();
    new PlayClock(this, () => this.player, '.now');
  }

  override render() {
    if (!this.session || !this.player) return nothing;
    const more = html`<div class="more">${this.renderLoop()} ${this.renderMonitor()}</div>`;
    return html`<section aria-label="Transport">
      ${this.renderPlay()}
      ${this.narrow ? html`<slot></slot>` : nothing}
      ${this.renderTime()}
      <wave-line></wave-line>
      ${this.narrow ? html`<details><summary>Loop and monitor level</summary>${more}</details>` : more}
      ${this.renderMute()}
    </section>`;
  }

  private renderPlay() {
    const player = this.player!;
    const { state, playing } = player;
    const busy = state === 'loading' || state === 'starting';
    const word = playing ? 'Stop' : state === 'loading' ? 'Loading…' : state === 'starting' ? 'Starting…' : 'Play';
    return html`<button
      class="play"
      title=${`${playing ? 'Stop' : 'Play'} (Space)`}
      ?disabled=${(busy && !playing) || player.durationSeconds === 0}
      @click=${() => (playing ? player.stop() : player.play())}
    >
      ${playing ? icons.stop : icons.play}<span>${word}</span>
    </button>`;
  }

  private renderTime() {
    const { durationSeconds, guardActing, lateShare, state } = this.player!;
    const [sign, meaning] = guardActing
      ? ['Guard is acting', 'The output guard is holding peaks below its true-peak ceiling']
      : lateShare > 0
        ? [`Gaps: ${Math.round(100 * lateShare)} % late`, 'This machine computes the session more slowly than it plays']
        : [nothing, nothing];
    return html`<div class="time">
      <span class="now">0:00.0</span><small> / ${clock(durationSeconds)}</small>
      <p
        class="guard ${sign === nothing ? '' : 'acting'}"
        role="status"
        title=${meaning}
      >
        ${sign === nothing && state === 'failed' ? html`<b>Sound failed</b>` : sign}
      </p>
    </div>`;
  }

  private renderLoop() {
    const session = this.session!;
    const { loop, matchRegion } = session.document;
    return html`<div class="loop">
      <span class="row"
        >${
          loop
            ? html`<span>Loop ${clock(loop.startSeconds)}–${clock(loop.endSeconds)}</span>
              <button
                class="icon quiet"
                title="Clear the loop (key L)"
                @click=${() => session.dispatch({ type: 'set-loop', region: null })}
              >
                ${icons.remove}<span class="hidden">Clear the loop</span>
              </button>`
            : html`<small>Drag on the waveform to loop</small>`
        }</span
      >
      ${
        matchRegion
          ? html`<button
              class="quiet"
              title="Match and measure over everything"
              @click=${() => session.dispatch({ type: 'set-match-region', region: null })}
            >
              Measure all
            </button>`
          : loop
            ? html`<button
                class="quiet"
                title="Match and measure over the loop only"
                @click=${() => session.dispatch({ type: 'set-match-region', region: loop })}
              >
                Measure loop
              </button>`
            : nothing
      }
    </div>`;
  }

  private renderMonitor() {
    const player = this.player!;
    return html`<value-slider
      class="monitor"
      .declaration=${monitor}
      .value=${player.monitorDb}
      @value-change=${(event: CustomEvent<{ value: number }>) => player.setMonitorDb(event.detail.value)}
    ></value-slider>`;
  }

  private renderMute() {
    const player = this.player!;
    return html`<button
      class="mute"
      aria-pressed=${player.panic}
      title=${player.panic ? 'Release the mute (Escape)' : 'Silence at once (Escape)'}
      @click=${() => player.setPanic(!player.panic)}
    >
      ${icons.mute}<span>${player.panic ? 'Muted' : 'Mute'}</span>
    </button>`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'transport-bar': TransportBar;
  }
}
