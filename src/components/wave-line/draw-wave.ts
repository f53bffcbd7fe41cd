import type { CanvasSheet } from '../canvas/canvas-sheet.ts';

interface Wave {
  /** [min0, max0, min1, max1, …], evenly spread over the duration. */
  readonly waveform: Float32Array | null;
  readonly durationSeconds: number;
  readonly positionSeconds: number;
  readonly region: { readonly from: number; readonly to: number } | null;
  readonly measured: { readonly startSeconds: number; readonly endSeconds: number } | null;
}

/** One min/max pair per device column, the loop behind it, the position over it. */
export function drawWave(
  context: CanvasRenderingContext2D,
  width: number,
  height: number,
  sheet: CanvasSheet,
  { waveform, durationSeconds, positionSeconds, region, measured }: Wave,
): void {
  const colour = sheet.colours('grid', 'clean', 'ink', 'coloured', 'wash-strong', 'rule-strong');
  const x = (seconds: number) => (durationSeconds > 0 ? (seconds / durationSeconds) * width : 0);
  const middle = height / 2;

  if (region) {
    context.fillStyle = colour['wash-strong'];
    context.fillRect(x(region.from), 0, x(region.to) - x(region.from), height);
    context.fillStyle = colour.coloured;
    context.fillRect(x(region.from), 0, 1, height);
    context.fillRect(x(region.to) - 1, 0, 1, height);
  }
  context.fillStyle = colour.grid;
  context.fillRect(0, middle - 0.5, width, 1);

  if (waveform && waveform.length >= 2) {
    const ratio = devicePixelRatio || 1;
    const columns = Math.round(width * ratio);
    const pairs = waveform.length / 2;
    context.fillStyle = colour.clean;
    for (let column = 0; column < columns; column++) {
      const first = Math.floor((column / columns) * pairs);
      const last = Math.max(first + 1, Math.ceil(((column + 1) / columns) * pairs));
      let low = 0;
      let high = 0;
      for (let i = first; i < last && i < pairs; i++) {
        low = Math.min(low, waveform[2 * i]);
        high = Math.max(high, waveform[2 * i + 1]);
      }
      const top = middle - Math.min(1, high) * (middle - 1);
      const bottom = middle - Math.max(-1, low) * (middle - 1);
      context.fillRect(column / ratio, top, 1 / ratio, Math.max(1 / ratio, bottom - top));
    }
  }
  if (measured) {
    context.fillStyle = colour['rule-strong'];
    context.fillRect(x(measured.startSeconds), height - 2, x(measured.endSeconds) - x(measured.startSeconds), 2);
  }
  if (durationSeconds > 0) {
    context.fillStyle = colour.ink;
    context.fillRect(Math.min(width - 2, Math.round(x(positionSeconds))) - 0.5, 0, 2, height);
  }
}
