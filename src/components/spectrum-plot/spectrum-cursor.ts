/** The cursor that reads the spectrum: where it may stand, how keys move it, and what it reads. */
import type { LiveFrame } from '../../stores/live-store.ts';
import { figure } from '../format/figures.ts';
import { noteText } from '../format/note.ts';
import type { SideWords } from '../matched-switch/compared.ts';
import { levelAt } from './spectrum-view.ts';

/** One key press moves it by so much of an octave, on the low band's linear axis by so many hertz; with shift by a tenth. */
const OCTAVE_STEP = 1 / 48;
const LINEAR_STEP = 0.5;
/** The Page keys move it by an octave, or by so many hertz. */
const LINEAR_PAGE = 5;

/** Lowest and highest frequency, and where it starts when nothing else says, Hz. */
export function cursorRange(lowBand: boolean): readonly [low: number, high: number, first: number] {
  return lowBand ? [0, 60, 30] : [20, 20_000, 1000];
}

/**
 * Where a key moves it, Hz; null where it goes away, undefined for other keys.
 * @param toneHz the strongest tone, if there is one
 */
export function movedCursor(
  { key, shiftKey }: Pick<KeyboardEvent, 'key' | 'shiftKey'>,
  now: number,
  lowBand: boolean,
  toneHz: number | undefined,
): number | null | undefined {
  const [low, high] = cursorRange(lowBand);
  const step = (sign: 1 | -1) => {
    const share = shiftKey ? sign / 10 : sign;
    return lowBand ? now + LINEAR_STEP * share : now * 2 ** (OCTAVE_STEP * share);
  };
  const moves: Record<string, () => number | null> = {
    ArrowRight: () => step(1),
    ArrowUp: () => step(1),
    ArrowLeft: () => step(-1),
    ArrowDown: () => step(-1),
    PageUp: () => (lowBand ? now + LINEAR_PAGE : now * 2),
    PageDown: () => (lowBand ? now - LINEAR_PAGE : now / 2),
    Home: () => low,
    End: () => high,
    Enter: () => (lowBand ? now : (toneHz ?? now)),
    Delete: () => null,
  };
  const to = moves[key]?.();
  return typeof to === 'number' ? Math.min(high, Math.max(low, to)) : to;
}

/** The frequency, its note and the three curves there, as a sentence. */
export function readingText(
  hz: number,
  band: Pick<LiveFrame, 'frequencies' | 'clean' | 'coloured' | 'added'> | null,
  lowBand: boolean,
  { a, b, third }: SideWords,
): string {
  const at = (values: Float32Array | undefined) =>
    figure(band && values ? levelAt(band.frequencies, values, hz, lowBand) : null, { digits: 1 });
  const note = noteText(hz);
  const place = `${figure(hz, { digits: hz < 100 ? 1 : 0 })} Hz${note ? `, ${note}` : ''}`;
  return `${place}: ${a} ${at(band?.clean)}, ${b} ${at(band?.coloured)}, ${third} ${at(band?.added)}`;
}
