import { consume } from '@lit/context';
import { css, html, LitElement, type PropertyValues } from 'lit';
import { customElement, property, query } from 'lit/decorators.js';
import type { LiveFrame, LiveStore } from '../../stores/live-store.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { CanvasSheet } from '../canvas/canvas-sheet.ts';
import { liveContext, sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { figure } from '../format/figures.ts';
import { sideWords } from '../matched-switch/compared.ts';
import { Ballistics } from './ballistics.ts';

const FIGURE_HEIGHT = 12;
/** Of the words along the left edge, px. */
const WORDS_WIDTH = 18;

/** The live sample peak of both sides at the rack's output, on the level diagram's scale. Drawn outside Lit. */
@customElement('peak-meter')
export class PeakMeter extends LitElement {
  static override styles = css`
    :host {
      display: block;
      position: relative;
    }
    canvas {
      display: block;
      width: 100%;
      height: 100%;
    }
  `;

  @consume({ context: liveContext, subscribe: true }) private live?: LiveStore;
  @store(sessionContext) private session?: SessionStore;
  @property() rackId = '';
  /** Lowest and highest level, dB, as in the diagram beside it. */
  @property({ attribute: false }) range: readonly [number, number] = [-24, 0];
  @query('canvas') private canvas!: HTMLCanvasElement;
  readonly #sheet = new CanvasSheet(
    this,
    () => this.canvas,
    (context, width, height) => this.#draw(context, width, height),
  );
  readonly #clean = new Ballistics();
  readonly #coloured = new Ballistics();
  #release: (() => void) | undefined;
  #settings: number | null = null;

  override willUpdate(changed: PropertyValues<this>): void {
    // Another rack's peaks are none of this one's.
    if (changed.has('rackId') || !this.live?.latest) this.#forget();
  }

  override render() {
    const { a, b } = sideWords(this.session?.document);
    return html`<canvas role="img" aria-label=${`Sample peak now: ${a} on the left, ${b} on the right`}></canvas>`;
  }

  override updated(): void {
    this.#release?.();
    this.#release = this.live?.onFrame((frame) => this.#take(frame));
    this.#sheet.redraw();
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#release?.();
    this.#release = undefined;
  }

  override connectedCallback(): void {
    super.connectedCallback();
    if (this.hasUpdated) this.requestUpdate();
  }

  #take(frame: LiveFrame | null): void {
    if (!frame || frame.stopped) {
      this.#forget();
      this.#sheet.redraw();
      return;
    }
    if (frame.rackId !== this.rackId) return;
    if (frame.settings !== this.#settings) {
      this.#clean.dropHold();
      this.#coloured.dropHold();
    }
    this.#settings = frame.settings;
    const now = performance.now();
    this.#clean.take(frame.cleanPeakDbfs, now);
    this.#coloured.take(frame.colouredPeakDbfs, now);
    this.#sheet.redraw();
  }

  #forget(): void {
    this.#clean.reset();
    this.#coloured.reset();
  }

  #draw(context: CanvasRenderingContext2D, width: number, height: number): void {
    const [low, high] = this.range;
    // The same insets as the diagram's, so that equal levels stand at equal heights.
    const y = (db: number) => 10 + ((high - Math.max(low, Math.min(high, db))) / (high - low)) * (height - 18);
    const {
      grid,
      clean,
      coloured,
      ink,
      'ink-2': faint,
    } = this.#sheet.colours('grid', 'clean', 'coloured', 'ink', 'ink-2');
    context.strokeStyle = grid;
    context.lineWidth = 1;
    for (let db = high; db >= low; db -= 6) {
      context.beginPath();
      context.moveTo(0, Math.round(y(db)) + 0.5);
      context.lineTo(width, Math.round(y(db)) + 0.5);
      context.stroke();
    }
    const now = performance.now();
    const bar = (meter: Ballistics, x: number, barWidth: number, colour: string, lift: number) => {
      context.fillStyle = colour;
      const db = meter.levelDb(now);
      if (db > low) context.fillRect(x - barWidth / 2, y(db), barWidth, y(low) - y(db));
      // The held peak is written, since a figure that moves with the bar can't be read.
      const text = figure(meter.heldDb <= -120 ? null : meter.heldDb, { digits: 1 });
      // In a wide font it keeps clear of the words on the left and of the edge on the right.
      const half = context.measureText(text).width / 2;
      const middle = Math.min(Math.max(x, WORDS_WIDTH + half), width - half);
      context.fillText(text, middle, y(Math.max(low, meter.heldDb)) - 8 - lift);
      if (meter.heldDb <= low) return;
      context.fillStyle = ink;
      context.fillRect(x - 8, y(meter.heldDb) - 0.75, 16, 1.5);
    };
    context.font = this.#sheet.font;
    context.textBaseline = 'middle';
    context.fillStyle = faint;
    context.textAlign = 'center';
    context.save();
    context.translate(WORDS_WIDTH / 2, y((high + low) / 2));
    context.rotate(-Math.PI / 2);
    context.fillText('peak now, dBFS', 0, 0);
    context.restore();
    // Side by side there is no room for both figures at one height: the one of the higher peak goes up.
    const [first, second] = [y(this.#clean.heldDb), y(this.#coloured.heldDb)];
    const crowded = Math.abs(first - second) < FIGURE_HEIGHT;
    const lift = (own: number, other: number) => (crowded && own <= other ? FIGURE_HEIGHT - (other - own) : 0);
    bar(this.#clean, width * 0.41, 3, clean, lift(first, second));
    bar(this.#coloured, width * 0.8, 9, coloured, first === second ? 0 : lift(second, first));
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'peak-meter': PeakMeter;
  }
}
