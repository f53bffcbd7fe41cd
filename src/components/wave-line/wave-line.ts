import { html, LitElement, nothing } from 'lit';
import { customElement, query, state } from 'lit/decorators.js';
import { styleMap } from 'lit/directives/style-map.js';
import type { AnalysisStore } from '../../stores/analysis-store.ts';
import type { PlayerStore } from '../../stores/player-store.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { base } from '../base/base.styles.ts';
import { CanvasSheet } from '../canvas/canvas-sheet.ts';
import { analysisContext, playerContext, sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { clock } from '../format/figures.ts';
import { drawWave } from './draw-wave.ts';
import { styles } from './wave-line.styles.ts';

/** A press that moves less than this is a click, px. */
const CLICK_SLOP = 4;
/** A loop is at least this long, s. */
const SHORTEST_LOOP = 0.05;

/**
 * The clean mix along time: a click seeks, a drag makes a loop, marks show where the colour is loudest. From the
 * keyboard it is a slider.
 */
@customElement('wave-line')
export class WaveLine extends LitElement {
  static override styles = [base, styles];

  @store(sessionContext) private session?: SessionStore;
  @store(playerContext) private player?: PlayerStore;
  @store(analysisContext) private analysis?: AnalysisStore;
  /** While a loop is being dragged. */
  @state() private dragged: { from: number; to: number } | null = null;
  @query('canvas') private canvas!: HTMLCanvasElement;
  @query('.line') private line!: HTMLElement;
  readonly #sheet = new CanvasSheet(
    this,
    () => this.canvas,
    (context, width, height) => this.#draw(context, width, height),
  );
  #pressed: { x: number; seconds: number } | null = null;
  #frame = 0;

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    cancelAnimationFrame(this.#frame);
  }

  override updated(): void {
    this.#sheet.redraw();
    this.#follow();
  }

  override render() {
    const duration = this.player?.durationSeconds ?? 0;
    const marks = duration > 0 ? (this.analysis?.loudestColour ?? []) : [];
    return html`<div
        class="line"
        role="slider"
        tabindex="0"
        aria-label="Position"
        aria-valuemin="0"
        aria-valuemax=${duration.toFixed(1)}
        aria-valuenow="0"
        aria-valuetext="0:00.0"
        title="Click to seek, drag to loop"
        @pointerdown=${this.onDown}
        @pointermove=${this.onMove}
        @pointerup=${this.onUp}
        @pointercancel=${this.onCancel}
        @keydown=${this.onKey}
      >
        <canvas aria-hidden="true"></canvas>
        ${this.analysis?.waveform || duration === 0 ? nothing : html`<span class="message">No waveform yet</span>`}
      </div>
      <div class="marks" role="group" aria-label="Where the colour is loudest">
        ${marks.map(
          (seconds, i) => html`<button
            style=${styleMap({ left: `${(100 * seconds) / duration}%` })}
            title=${`The colour is ${rank(i)} at ${clock(seconds)}`}
            @click=${() => this.player?.seek(seconds)}
          >
            <span class="hidden">Go to ${clock(seconds)}, where the colour is ${rank(i)}</span>
          </button>`,
        )}
      </div>`;
  }

  /** Position and its words follow the player past Lit. */
  readonly #follow = (): void => {
    cancelAnimationFrame(this.#frame);
    const { player, line } = this;
    if (!player || !line) return;
    const seconds = player.positionSeconds();
    line.setAttribute('aria-valuenow', seconds.toFixed(1));
    line.setAttribute('aria-valuetext', `${clock(seconds)} of ${clock(player.durationSeconds)}`);
    if (!player.playing) return;
    this.#sheet.redraw();
    this.#frame = requestAnimationFrame(this.#follow);
  };

  #draw(context: CanvasRenderingContext2D, width: number, height: number): void {
    const { dragged, player } = this;
    const loop = this.session?.document.loop ?? null;
    const region = dragged ? ordered(dragged) : loop && { from: loop.startSeconds, to: loop.endSeconds };
    drawWave(context, width, height, this.#sheet, {
      waveform: this.analysis?.waveform ?? null,
      durationSeconds: player?.durationSeconds ?? 0,
      positionSeconds: player?.positionSeconds() ?? 0,
      region,
      measured: this.session?.document.matchRegion ?? null,
    });
  }

  private onDown(event: PointerEvent): void {
    if (event.button !== 0 || !this.player || this.player.durationSeconds <= 0) return;
    this.line.setPointerCapture(event.pointerId);
    this.#pressed = { x: event.clientX, seconds: this.#secondsAt(event.clientX) };
  }

  private onMove(event: PointerEvent): void {
    if (!this.#pressed) return;
    if (!this.dragged && Math.abs(event.clientX - this.#pressed.x) < CLICK_SLOP) return;
    this.dragged = { from: this.#pressed.seconds, to: this.#secondsAt(event.clientX) };
  }

  private onUp(): void {
    const { dragged } = this;
    const pressed = this.#pressed;
    this.onCancel();
    if (!pressed) return;
    if (!dragged) {
      this.player?.seek(pressed.seconds);
      return;
    }
    const { from, to } = ordered(dragged);
    if (to - from < SHORTEST_LOOP) return;
    this.session?.dispatch({ type: 'set-loop', region: { startSeconds: from, endSeconds: to } });
  }

  private onCancel(): void {
    this.#pressed = null;
    this.dragged = null;
  }

  private onKey(event: KeyboardEvent): void {
    const { player } = this;
    if (!player || event.ctrlKey || event.metaKey || event.altKey) return;
    const step = event.shiftKey ? 0.1 : 1;
    const moves: Record<string, number | undefined> = {
      ArrowRight: step,
      ArrowUp: step,
      ArrowLeft: -step,
      ArrowDown: -step,
      PageUp: 10,
      PageDown: -10,
      Home: Number.NEGATIVE_INFINITY,
      End: Number.POSITIVE_INFINITY,
    };
    const by = moves[event.key];
    if (by === undefined) return;
    event.preventDefault();
    player.seek(Math.min(player.durationSeconds, Math.max(0, player.positionSeconds() + by)));
    this.requestUpdate();
  }

  #secondsAt(clientX: number): number {
    const { left, width } = this.line.getBoundingClientRect();
    const share = Math.min(1, Math.max(0, (clientX - left) / width));
    return Math.round(share * this.player!.durationSeconds * 1000) / 1000;
  }
}

function ordered({ from, to }: { from: number; to: number }) {
  return from <= to ? { from, to } : { from: to, to: from };
}

function rank(index: number): string {
  return ['loudest', 'second loudest', 'third loudest'][index] ?? `${index + 1}th loudest`;
}

declare global {
  interface HTMLElementTagNameMap {
    'wave-line': WaveLine;
  }
}
