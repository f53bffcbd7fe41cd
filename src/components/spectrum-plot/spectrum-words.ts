/** What stands in words beside the spectrum. */
import type { LiveFrame } from '../../stores/live-store.ts';
import { figure } from '../format/figures.ts';
import type { SideWords } from '../matched-switch/compared.ts';
import { NOTHING_DBFS, type SpectrumView } from './spectrum-view.ts';

/** Why there is nothing to see; null when there is. */
export function missingText(frame: LiveFrame | null, { lowBand }: SpectrumView, fault: string | null): string | null {
  if (!frame) return fault ?? 'Play to see the spectrum.';
  return lowBand && !frame.lowBand ? 'The low band needs 2.7 s of sound.' : null;
}

export function unitText({ lowBand, slopeDb }: SpectrumView, isDensity: boolean): string {
  const tilt = slopeDb > 0 && !lowBand ? `, drawn with ${slopeDb} dB an octave` : '';
  return `${isDensity && !lowBand ? 'dBFS in 1 Hz' : 'dBFS'}${tilt}`;
}

export function dcText(frame: LiveFrame | null, { a, b }: SideWords): string {
  if (!frame) return '';
  return `DC apart: ${a} ${dbfs(frame.cleanDcDbfs)}, ${b} ${dbfs(frame.colouredDcDbfs)} dBFS`;
}

export function slowText(frame: LiveFrame | null): string {
  return frame ? `slow products ${dbfs(frame.slowProductsDbfs)} dBFS` : '';
}

/** How far the picture is of now: what a busy computer left out of it, and whether sound has stopped. */
export function stateText(frame: LiveFrame | null): string {
  if (!frame) return '';
  const { missedBlocks: missed, waiting, stopped } = frame;
  const blocks = missed > 0 ? `${missed} ${missed === 1 ? 'block' : 'blocks'} missed` : '';
  const state = stopped ? 'as it was last' : waiting ? 'picture waits' : '';
  return [blocks, state].filter(Boolean).join(', ');
}

function dbfs(value: number | null): string {
  return figure(value === null || value <= NOTHING_DBFS ? null : value, { digits: 0 });
}
