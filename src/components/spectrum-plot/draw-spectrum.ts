import { scaleLinear, scaleLog } from 'd3-scale';
import type { CanvasSheet } from '../canvas/canvas-sheet.ts';
import type { LiveFrame } from '../context/stores.ts';
import { figure, hertz } from '../format/figures.ts';

export const SPECTRUM_TOP_DBFS = -6;
export const SPECTRUM_FLOOR_DBFS = -96;
const AXIS = 30;
/** DC has a strip of its own before 20 Hz: on a logarithmic axis it has no place. */
const DC_STRIP = 34;
const FOOT = 18;
const DECADES = [20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000];

/** Draws the frame, or the empty sheet when there is none. */
export function drawSpectrum(
  context: CanvasRenderingContext2D,
  width: number,
  height: number,
  frame: LiveFrame | null,
  sheet: CanvasSheet,
): void {
  const colour = sheet.colours('grid', 'rule', 'ink-2', 'clean', 'coloured');
  const left = AXIS + DC_STRIP;
  const bottom = height - FOOT;
  const x = scaleLog([20, 20_000], [left, width - 6]);
  const y = scaleLinear([SPECTRUM_FLOOR_DBFS, SPECTRUM_TOP_DBFS], [bottom, 4]).clamp(true);
  context.font = sheet.font;
  context.lineWidth = 1;
  context.textBaseline = 'middle';

  context.fillStyle = colour['ink-2'];
  context.strokeStyle = colour.grid;
  const step = bottom < 130 ? 24 : 12;
  for (let db = -12; db >= SPECTRUM_FLOOR_DBFS; db -= step) {
    line(context, AXIS, crisp(y(db)), AXIS + 18, crisp(y(db)));
    line(context, left, crisp(y(db)), width - 6, crisp(y(db)));
    context.textAlign = 'right';
    context.fillText(figure(db, { digits: 0 }), AXIS - 6, y(db));
  }
  for (const frequency of DECADES) {
    line(context, crisp(x(frequency)), 4, crisp(x(frequency)), bottom);
    if (width < 420 && (String(frequency).startsWith('5') || frequency === 10_000)) continue;
    context.textAlign = frequency === 20_000 ? 'right' : 'center';
    const text = frequency === 20_000 ? '20 k Hz' : hertz(frequency);
    context.fillText(text, frequency === 20_000 ? width - 2 : x(frequency), height - FOOT / 2 + 1);
  }
  context.textAlign = 'center';
  context.fillText('DC', AXIS + 9, height - FOOT / 2 + 1);
  if (!frame) return;

  context.lineJoin = 'round';
  const trace = (values: Float32Array) => {
    context.beginPath();
    for (let i = 0; i < values.length; i++) context.lineTo(x(frame.frequencies[i]), y(values[i]));
    context.stroke();
  };
  context.strokeStyle = colour.coloured;
  context.setLineDash([1.5, 4]);
  context.lineCap = 'round';
  context.lineWidth = 1.75;
  trace(frame.added);
  context.setLineDash([]);
  context.lineWidth = 2.75;
  trace(frame.coloured);
  mark(context, AXIS + 9, y, frame.colouredDcDbfs, 9);
  context.strokeStyle = colour.clean;
  context.lineWidth = 1;
  trace(frame.clean);
  mark(context, AXIS + 9, y, frame.cleanDcDbfs, 9);
}

/** A short bar at the level; below the plot's floor an arrow that points down. */
function mark(context: CanvasRenderingContext2D, x: number, y: (db: number) => number, db: number, half: number): void {
  const at = y(db);
  if (db >= SPECTRUM_FLOOR_DBFS) {
    line(context, x - half, at, x + half, at);
    return;
  }
  context.beginPath();
  context.moveTo(x - 3.5, at - 5);
  context.lineTo(x, at - 1);
  context.lineTo(x + 3.5, at - 5);
  context.stroke();
}

function line(context: CanvasRenderingContext2D, x0: number, y0: number, x1: number, y1: number): void {
  context.beginPath();
  context.moveTo(x0, y0);
  context.lineTo(x1, y1);
  context.stroke();
}

function crisp(value: number): number {
  return Math.round(value) + 0.5;
}
