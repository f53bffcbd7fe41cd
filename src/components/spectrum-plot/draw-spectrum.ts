import type { LiveFrame, StrongestTone } from '../../stores/live-store.ts';
import type { CanvasSheet } from '../canvas/canvas-sheet.ts';
import { figure, hertz } from '../format/figures.ts';
import { levelAt, type SpectrumScale } from './spectrum-view.ts';

const AXIS_HZ = [20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000];
const LOW_AXIS_HZ = [0, 5, 10, 15, 20, 30, 40, 50, 60];
/** Products of the envelope end about here; the lowest notes begin above. */
const SLOW_TO_HZ = 15;
/** Half the side of a harmonic's mark. */
const MARK = 3;
/** Numbers of harmonics stand at least so far apart, px; the marks between have none. */
const NUMBER_APART = 14;

/** Draws the frame, or the empty sheet when there is none, and the cursor. */
export function drawSpectrum(
  context: CanvasRenderingContext2D,
  scale: SpectrumScale,
  frame: LiveFrame | null,
  cursorHz: number | null,
  sheet: CanvasSheet,
): void {
  const colour = sheet.colours('grid', 'rule', 'ink', 'ink-2', 'clean', 'coloured', 'odd', 'even', 'sheet', 'well');
  const { lowBand, harmonics } = scale.view;
  context.font = sheet.font;
  context.lineWidth = 1;
  context.textBaseline = 'middle';
  context.lineJoin = 'round';
  if (lowBand) shadeSlow(context, scale, colour.well);
  drawAxes(context, scale, colour.grid, colour['ink-2']);
  if (lowBand) nameParts(context, scale, colour);
  if (frame) {
    const band = lowBand ? frame.lowBand : frame;
    if (band) drawCurves(context, scale, band, colour.coloured, colour.clean);
    if (!lowBand) drawHolds(context, scale, frame, colour.coloured, colour.clean);
    context.strokeStyle = colour.coloured;
    context.lineWidth = 2.75;
    dcMark(context, scale, frame.colouredDcDbfs);
    context.strokeStyle = colour.clean;
    context.lineWidth = 1;
    dcMark(context, scale, frame.cleanDcDbfs);
    if (harmonics && !lowBand && frame.standingTone) drawTone(context, scale, frame, frame.standingTone, colour);
  }
  if (cursorHz !== null) {
    context.strokeStyle = colour.ink;
    context.lineWidth = 1;
    const x = crisp(scale.x(cursorHz));
    line(context, x, 4, x, scale.bottom);
  }
}

function drawAxes(context: CanvasRenderingContext2D, scale: SpectrumScale, grid: string, ink: string): void {
  const { left, right, bottom, width, height, dcX } = scale;
  const { lowBand, lowestDbfs } = scale.view;
  context.fillStyle = ink;
  context.strokeStyle = grid;
  const step = bottom / -lowestDbfs < 1.35 ? 24 : 12;
  for (let db = -12; db >= lowestDbfs; db -= step) {
    const y = crisp(scale.y(db));
    line(context, dcX - 9, y, dcX + 9, y);
    line(context, left, y, right, y);
    context.textAlign = 'right';
    context.fillText(figure(db, { digits: 0 }), dcX - 15, y);
  }
  const y = height - 8;
  for (const hz of lowBand ? LOW_AXIS_HZ : AXIS_HZ) {
    const x = scale.x(hz);
    line(context, crisp(x), 4, crisp(x), bottom);
    if (!lowBand && width < 420 && (String(hz).startsWith('5') || hz === 10_000)) continue;
    if (lowBand && width < 420 && (hz === 5 || hz === 15)) continue;
    const last = hz === scale.toHz;
    context.textAlign = last ? 'right' : 'center';
    context.fillText(last ? `${hertz(hz)} Hz` : hertz(hz), last ? width - 2 : x, y);
  }
  context.textAlign = 'center';
  context.fillText('DC', dcX, y);
}

function drawCurves(
  context: CanvasRenderingContext2D,
  scale: SpectrumScale,
  band: Pick<LiveFrame, 'frequencies' | 'clean' | 'coloured' | 'added'>,
  coloured: string,
  clean: string,
): void {
  context.strokeStyle = coloured;
  context.setLineDash(DOTS);
  context.lineCap = 'round';
  context.lineWidth = 1.75;
  scale.trace(context, band.frequencies, band.added);
  context.setLineDash(SOLID);
  context.lineWidth = 2.75;
  scale.trace(context, band.frequencies, band.coloured);
  context.strokeStyle = clean;
  context.lineWidth = 1;
  scale.trace(context, band.frequencies, band.clean);
}

function drawHolds(
  context: CanvasRenderingContext2D,
  scale: SpectrumScale,
  frame: LiveFrame,
  coloured: string,
  clean: string,
): void {
  if (!frame.cleanHold || !frame.colouredHold) return;
  context.globalAlpha = 0.6;
  context.strokeStyle = coloured;
  context.lineWidth = 1.5;
  scale.trace(context, frame.frequencies, frame.colouredHold);
  context.strokeStyle = clean;
  context.lineWidth = 0.75;
  scale.trace(context, frame.frequencies, frame.cleanHold);
  context.globalAlpha = 1;
}

/** A tone that stands out and its harmonics, on the curve: odd ones filled, even ones outlined, each with its number. */
function drawTone(
  context: CanvasRenderingContext2D,
  scale: SpectrumScale,
  frame: LiveFrame,
  tone: StrongestTone,
  colour: Record<'odd' | 'even' | 'sheet', string>,
): void {
  drawMark(context, scale, frame, tone.hz, 1, true, colour);
  let numbered = scale.x(tone.hz);
  for (const { n, hz } of tone.harmonics) {
    const x = scale.x(hz);
    const apart = x - numbered >= NUMBER_APART;
    if (apart) numbered = x;
    drawMark(context, scale, frame, hz, n, apart, colour);
  }
}

function drawMark(
  context: CanvasRenderingContext2D,
  scale: SpectrumScale,
  frame: LiveFrame,
  hz: number,
  n: number,
  withNumber: boolean,
  colour: Record<'odd' | 'even' | 'sheet', string>,
): void {
  const db = levelAt(frame.frequencies, frame.coloured, hz, false);
  if (db === null || db + scale.tilt(hz) <= scale.floorDbfs) return;
  const x = scale.x(hz);
  const y = Math.max(22, scale.y(db + scale.tilt(hz)) - 8);
  const odd = n % 2 === 1;
  context.lineWidth = 1.5;
  context.strokeStyle = odd ? colour.odd : colour.even;
  context.fillStyle = odd ? colour.odd : colour.sheet;
  context.beginPath();
  context.rect(x - MARK, y - MARK, 2 * MARK, 2 * MARK);
  context.fill();
  context.stroke();
  if (!withNumber) return;
  context.fillStyle = odd ? colour.odd : colour.even;
  context.textAlign = 'center';
  context.fillText(String(n), x, y - 11);
}

/** The stretch where only products of the envelope live, told from bass by a ground and a word. */
function shadeSlow(context: CanvasRenderingContext2D, scale: SpectrumScale, ground: string): void {
  context.fillStyle = ground;
  context.fillRect(scale.left, 4, scale.x(SLOW_TO_HZ) - scale.left, scale.bottom - 4);
}

function nameParts(
  context: CanvasRenderingContext2D,
  scale: SpectrumScale,
  colour: Record<'well' | 'sheet' | 'ink-2', string>,
): void {
  const name = (text: string, x: number, ground: string) => {
    context.fillStyle = ground;
    context.fillRect(x - 3, 5, context.measureText(text).width + 6, 15);
    context.fillStyle = colour['ink-2'];
    context.textAlign = 'left';
    context.fillText(text, x, 13);
  };
  name('slow products', scale.left + 6, colour.well);
  name('bass', scale.x(SLOW_TO_HZ) + 6, colour.sheet);
}

/** A short bar at the level; below the plot's floor an arrow that points down. */
function dcMark(context: CanvasRenderingContext2D, scale: SpectrumScale, db: number): void {
  const x = scale.dcX;
  const at = scale.y(db);
  if (db >= scale.floorDbfs) {
    line(context, x - 9, at, x + 9, at);
    return;
  }
  context.beginPath();
  context.moveTo(x - 3.5, at - 5);
  context.lineTo(x, at - 1);
  context.lineTo(x + 3.5, at - 5);
  context.stroke();
}

const SOLID: number[] = [];
const DOTS = [1.5, 4];

function line(context: CanvasRenderingContext2D, x0: number, y0: number, x1: number, y1: number): void {
  context.beginPath();
  context.moveTo(x0, y0);
  context.lineTo(x1, y1);
  context.stroke();
}

function crisp(value: number): number {
  return Math.round(value) + 0.5;
}
