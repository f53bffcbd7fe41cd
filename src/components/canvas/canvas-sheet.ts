import type { ReactiveController, ReactiveControllerHost } from 'lit';

const STILL_INTERVAL_MS = 250;

type Draw = (context: CanvasRenderingContext2D, width: number, height: number) => void;

/**
 * A canvas that is drawn outside Lit's render cycle: keeps it at device resolution, knows the sheet's colours, draws
 * again when its size or the colour scheme changes, and at most once per animation frame, or four times a second where
 * less motion is asked for.
 */
export class CanvasSheet implements ReactiveController {
  readonly #host: ReactiveControllerHost & HTMLElement;
  readonly #canvas: () => HTMLCanvasElement | null;
  readonly #draw: Draw;
  readonly #scheme = matchMedia('(prefers-color-scheme: dark)');
  readonly #forced = matchMedia('(forced-colors: active)');
  readonly #size = new ResizeObserver(() => {
    this.#font = '';
    this.redraw();
  });
  #observed: HTMLCanvasElement | null = null;
  readonly #still = matchMedia('(prefers-reduced-motion: reduce)');
  #pending = 0;
  #waiting: ReturnType<typeof setTimeout> | undefined;
  #drawnAt = Number.NEGATIVE_INFINITY;
  #colours = new Map<string, string>();
  #font = '';

  constructor(host: ReactiveControllerHost & HTMLElement, canvas: () => HTMLCanvasElement | null, draw: Draw) {
    this.#host = host;
    this.#canvas = canvas;
    this.#draw = draw;
    host.addController(this);
  }

  hostConnected(): void {
    this.#scheme.addEventListener('change', this.#recolour);
    this.#forced.addEventListener('change', this.#recolour);
  }

  hostUpdated(): void {
    const canvas = this.#canvas();
    if (canvas === this.#observed) return;
    this.#size.disconnect();
    this.#observed = canvas;
    if (canvas) this.#size.observe(canvas);
  }

  hostDisconnected(): void {
    this.#scheme.removeEventListener('change', this.#recolour);
    this.#forced.removeEventListener('change', this.#recolour);
    this.#size.disconnect();
    this.#observed = null;
    cancelAnimationFrame(this.#pending);
    clearTimeout(this.#waiting);
    this.#pending = 0;
    this.#waiting = undefined;
  }

  redraw(): void {
    if (this.#pending || this.#waiting !== undefined) return;
    const wait = this.#still.matches ? STILL_INTERVAL_MS - (performance.now() - this.#drawnAt) : 0;
    if (wait > 0) {
      this.#waiting = setTimeout(() => {
        this.#waiting = undefined;
        this.redraw();
      }, wait);
      return;
    }
    this.#pending = requestAnimationFrame(() => {
      this.#pending = 0;
      this.drawNow();
    });
  }

  drawNow(): void {
    this.#drawnAt = performance.now();
    const canvas = this.#canvas();
    const context = canvas?.getContext('2d');
    if (!canvas || !context) return;
    const { width, height } = canvas.getBoundingClientRect();
    if (width === 0 || height === 0) return;
    const ratio = devicePixelRatio || 1;
    const columns = Math.round(width * ratio);
    const rows = Math.round(height * ratio);
    if (canvas.width !== columns || canvas.height !== rows) {
      canvas.width = columns;
      canvas.height = rows;
    }
    context.setTransform(ratio, 0, 0, ratio, 0, 0);
    context.clearRect(0, 0, width, height);
    this.#draw(context, width, height);
  }

  /** The sheet's tokens of these names as colours. */
  colours<const T extends string>(...names: T[]): Record<T, string> {
    return Object.fromEntries(names.map((name) => [name, this.#colour(name)])) as Record<T, string>;
  }

  /** Looked up anew when the canvas changes its size: with the window's width the type's size changes too. */
  get font(): string {
    if (this.#font === '') {
      const root = getComputedStyle(document.documentElement);
      const small = Number.parseFloat(root.getPropertyValue('--text-small')) * Number.parseFloat(root.fontSize);
      // A test's page may have no tokens.
      const size = small || 12;
      this.#font = `${size}px ${getComputedStyle(this.#host).fontFamily}`;
    }
    return this.#font;
  }

  #colour(name: string): string {
    let colour = this.#colours.get(name);
    if (colour === undefined) {
      colour = getComputedStyle(this.#host).getPropertyValue(`--${name}`).trim() || 'currentColor';
      this.#colours.set(name, colour);
    }
    return colour;
  }

  readonly #recolour = (): void => {
    this.#colours = new Map();
    this.redraw();
  };
}
