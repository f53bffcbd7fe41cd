/** What a stage kind does at its defaults: its harmonics against level and against frequency. */
import type { Decibels, Hertz } from '../dsp/units.ts';
import { USUAL_TONE_HZ } from '../engine/parameters.ts';
import { findStageKind } from '../engine/stages/catalogue.ts';
import { rackConfig } from '../render/engine-config.ts';
import { emptyRack, newStage } from '../session/document.ts';
import type { BenchTestId } from './tone-bench/spec.ts';
import type { ToneBench } from './tone-bench/tone-bench.ts';

export interface FigurePoint {
  /** Level of the tone, dBFS, or its frequency, Hz. */
  readonly at: number;
  /** Even and odd harmonics, each in sum; null where there are none. */
  readonly evenDbc: Decibels | null;
  readonly oddDbc: Decibels | null;
}

export interface KindFigure {
  /** The tone that its drive is counted from, mostly 997 Hz, from weak to full scale. */
  readonly levels: readonly FigurePoint[];
  /** A tone at the operating level, in octaves. */
  readonly frequencies: readonly FigurePoint[];
}

/** Yields about every 10 ms. 0 dB of drive, as its declaration has it. */
export function* kindFigure(
  bench: ToneBench,
  kindId: string,
  sampleRate: Hertz,
  operatingDbfs: Decibels,
): Generator<void, KindFigure> {
  const rack = rackConfig({ ...emptyRack(), stages: [newStage('one', kindId)] }, false);
  const spec = { rack, sampleRate, oversampling: 4 as const, alignmentDbfs: operatingDbfs };
  function* sweep(test: BenchTestId, values: Record<string, number>, at: 'hz' | 'levelDbfs') {
    const { points } = yield* bench.run({ ...spec, test, values });
    return points.map((point) => ({ at: point[at], evenDbc: point.evenDbc, oddDbc: point.oddDbc }));
  }
  return {
    levels: yield* sweep('level-sweep', { frequency: toneOf(kindId), from: -48, to: 0, step: 6 }, 'levelDbfs'),
    frequencies: yield* sweep(
      'frequency-sweep',
      { level: operatingDbfs, lowest: 31.5, highest: 8064, points: 1 },
      'hz',
    ),
  };
}

function toneOf(kindId: string): Hertz {
  return findStageKind(kindId)?.circuits[0].toneHz ?? USUAL_TONE_HZ;
}
