import type { BenchResult } from '../../stores/tone-bench-store.ts';
import { figure } from '../format/figures.ts';

/** One figure of a result: null with the reason why there is none. */
export interface FigureRow {
  readonly name: string;
  readonly unit: string;
  readonly about: string;
  readonly value: number | null;
  readonly text: string;
  readonly why: string;
}

const SILENT = 'There is no such signal in the output';

function row(name: string, unit: string, about: string, value: number | null, why: string): FigureRow {
  return { name, unit, about, value, text: unit === '%' ? percentText(value) : levelText(value, unit), why };
}

/** Below this a level is the rounding of the numbers themselves, dB. */
const ROUNDING_DB = -180;

function levelText(value: number | null, unit: string): string {
  if (unit !== 'dB' && value !== null && value < ROUNDING_DB) return `< ${figure(ROUNDING_DB, { digits: 0 })}`;
  return figure(value, { digits: 2, signed: unit === 'dB' });
}

/** Three significant figures; what is smaller than a hundred-thousandth of a per cent is no more than that. */
export function percentText(percent: number | null): string {
  if (percent === null || !Number.isFinite(percent)) return figure(null, { digits: 0 });
  if (percent === 0) return '0';
  if (percent < 1e-5) return '< 0.00001';
  const digits = Math.min(7, Math.max(0, 2 - Math.floor(Math.log10(percent))));
  return percent.toFixed(digits);
}

/** The figures that a test is run for, in the order in which one asks for them. */
export function figureRows(result: BenchResult): FigureRow[] {
  const { test } = result;
  if (test === 'smpte' || test === 'difference') return [...pairRows(result), ...commonRows(result)];
  if (test === 'tone' || test === 'stack') return [...toneRows(result), ...commonRows(result)];
  if (test === 'floor') return [...floorRows(result), ...toneRows(result), ...commonRows(result)];
  return commonRows(result).filter(({ name }) => name === 'Small-signal gain');
}

function toneRows(result: BenchResult): FigureRow[] {
  const outside = 'Defined for tones from 20 Hz to 20 kHz that come out of the rack';
  return [
    row('Fundamental', 'dBFS', 'Peak level of the tone at the output', result.fundamentalDbfs, SILENT),
    row('THD_F', '%', 'Harmonics over the fundamental', result.thdFPercent, 'No harmonic below half the sample rate'),
    row('THD_R', '%', 'Harmonics over the whole', result.thdRPercent, 'No harmonic below half the sample rate'),
    row('THD+N', '%', 'All but the fundamental over all, 20 Hz to 20 kHz (AES17)', result.thdNPercent, outside),
    row('Even', 'dBc', 'Power sum of the even harmonics', result.evenDbc, 'No even harmonic'),
    row('Odd', 'dBc', 'Power sum of the odd harmonics', result.oddDbc, 'No odd harmonic'),
    row('Gain', 'dB', 'Tone out over tone in', result.gainDb, SILENT),
  ];
}

function pairRows(result: BenchResult): FigureRow[] {
  const [lower, upper] = result.tones;
  const tones = [
    row('f1 out', 'dBFS', 'Peak level of the lower tone at the output', lower?.outDbfs ?? null, SILENT),
    row('f2 out', 'dBFS', 'Peak level of the upper tone at the output', upper?.outDbfs ?? null, SILENT),
  ];
  const why = 'Its products fall outside the band, or f2 does not come out';
  if (result.test === 'smpte') {
    return [
      ...tones,
      row('d_m2', '%', 'Second-order sidebands f2 ± f1 over f2 (IEC 60268-3)', result.dm2Percent, why),
      row('d_m3', '%', 'Third-order sidebands f2 ± 2f1 over f2 (IEC 60268-3)', result.dm3Percent, why),
    ];
  }
  return [
    ...tones,
    row('d_d2', '%', 'Difference tone f2 − f1 (IEC 60268-3)', result.dd2Percent, why),
    row('d_d3', '%', 'Difference tones 2f1 − f2 and 2f2 − f1 (IEC 60268-3)', result.dd3Percent, why),
  ];
}

function floorRows({ floor }: BenchResult): FigureRow[] {
  return [
    row(
      'Silence: DC',
      'dBFS',
      'Mean of the output for silence',
      floor?.silenceDcDbfs ?? null,
      'Digital silence stays silence',
    ),
    row(
      'Silence: noise',
      'dBFS',
      'Noise of the output for silence',
      floor?.silenceNoiseDbfs ?? null,
      'Digital silence stays silence',
    ),
    row(
      'Noise',
      'dBFS',
      'All between the weak tone’s harmonics, 20 Hz to 20 kHz',
      floor?.noiseDbfs ?? null,
      'Nothing is there',
    ),
  ];
}

function commonRows(result: BenchResult): FigureRow[] {
  return [
    row('DC', 'dBFS', 'Size of the output’s mean', result.dcDbfs, 'The output has no DC'),
    row(
      'Aliases',
      'dBc',
      'All lines that no harmonic or product has, 20 Hz to 20 kHz',
      result.aliasDbc,
      'Nothing is there',
    ),
    row(
      'Small-signal gain',
      'dB',
      'Of a tone of −100 dBFS',
      result.smallSignalGainDb,
      'This test does not measure it; the single tone does',
    ),
  ];
}
