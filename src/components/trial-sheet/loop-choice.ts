import { css, html, LitElement, nothing } from 'lit';
import { customElement, query } from 'lit/decorators.js';
import type { ContinuousParameter } from '../../engine/parameters.ts';
import type { AnalysisStore } from '../../stores/analysis-store.ts';
import type { TrialStore } from '../../stores/trial-store.ts';
import { base } from '../base/base.styles.ts';
import { CanvasSheet } from '../canvas/canvas-sheet.ts';
import { analysisContext, trialContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { clock } from '../format/figures.ts';
import '../value-slider/value-slider.ts';
import { drawWave } from '../wave-line/draw-wave.ts';
import { LONGEST_LOOP, SHORTEST_LOOP } from './trial-draft.ts';

/** The stretch that is heard in a blind trial: where it starts and how long it is, over the session's wave. */
@customElement('loop-choice')
export class LoopChoice extends LitElement {
  static override styles = [
    base,
    css`
      :host {
        --label-width: 11.7ch;
        --field-width: 7.2ch;
      }
      canvas {
        display: block;
        width: 100%;
        height: var(--row-5);
        margin-bottom: var(--space-2);
        cursor: pointer;
        touch-action: none;
      }
    `,
  ];

  @store(trialContext) private trials?: TrialStore;
  @store(analysisContext) private analysis?: AnalysisStore;
  @query('canvas') private canvas!: HTMLCanvasElement | null;
  readonly #sheet = new CanvasSheet(
    this,
    () => this.canvas,
    (context, width, height) => this.#draw(context, width, height),
  );

  override updated(): void {
    this.#sheet.redraw();
  }

  override render() {
    if (!this.trials) return nothing;
    const { loop, durationSeconds } = this.trials;
    if (durationSeconds < SHORTEST_LOOP) {
      return html`<p>
        This session is ${clock(durationSeconds)} long. A blind trial loops at least ${SHORTEST_LOOP} s: add longer
        recordings.
      </p>`;
    }
    const length = loop.endSeconds - loop.startSeconds;
    return html`
      <canvas aria-hidden="true" @pointerdown=${this.onPointer} @pointermove=${this.onPointer}></canvas>
      <value-slider
        .declaration=${startOf(durationSeconds, length)}
        .value=${loop.startSeconds}
        @value-change=${(event: CustomEvent<{ value: number }>) => this.move(event.detail.value, length)}
      ></value-slider>
      <value-slider
        .declaration=${lengthWithin(durationSeconds)}
        .value=${length}
        @value-change=${(event: CustomEvent<{ value: number }>) => this.move(loop.startSeconds, event.detail.value)}
      ></value-slider>
      <p class="small">From ${clock(loop.startSeconds)} to ${clock(loop.endSeconds)}, over and over. Choose a stretch
        where the colour shows.</p>
    `;
  }

  /** A longer loop near the end starts earlier. */
  private move(start: number, length: number): void {
    const latest = Math.max(0, this.trials!.durationSeconds - length);
    this.trials!.setLoop(Math.min(latest, Math.max(0, start)), length);
  }

  /** A press on the wave puts the loop's middle there. */
  private onPointer(event: PointerEvent): void {
    if ((event.buttons & 1) === 0) return;
    const { loop, durationSeconds } = this.trials!;
    const { left, width } = this.canvas!.getBoundingClientRect();
    const length = loop.endSeconds - loop.startSeconds;
    const middle = ((event.clientX - left) / width) * durationSeconds;
    this.canvas!.setPointerCapture(event.pointerId);
    this.move(Math.round(10 * (middle - length / 2)) / 10, length);
  }

  #draw(context: CanvasRenderingContext2D, width: number, height: number): void {
    const { loop, durationSeconds } = this.trials!;
    drawWave(context, width, height, this.#sheet, {
      waveform: this.analysis?.waveform ?? null,
      durationSeconds,
      positionSeconds: loop.startSeconds,
      region: { from: loop.startSeconds, to: loop.endSeconds },
      measured: null,
    });
  }
}

const common = { place: 'face', type: 'continuous', unit: '', taper: 'linear', step: 1, digits: 1 } as const;

function startOf(durationSeconds: number, length: number): ContinuousParameter {
  return {
    ...common,
    id: 'start',
    label: 'Starts at, s',
    about: 'Where the loop begins.',
    min: 0,
    max: Math.max(0.1, Math.floor(10 * (durationSeconds - length)) / 10),
    default: 0,
  };
}

function lengthWithin(durationSeconds: number): ContinuousParameter {
  return {
    ...common,
    id: 'length',
    label: 'Length, s',
    about: 'A short loop is easier to remember, a long one has more in it.',
    min: SHORTEST_LOOP,
    max: Math.max(SHORTEST_LOOP + 0.1, Math.min(LONGEST_LOOP, Math.floor(10 * durationSeconds) / 10)),
    default: SHORTEST_LOOP + 2,
  };
}

declare global {
  interface HTMLElementTagNameMap {
    'loop-choice': LoopChoice;
  }
}
