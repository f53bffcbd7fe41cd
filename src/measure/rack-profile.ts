/** What a rack does, measured before it is taken: tones at the operating level, and what it adds to a programme. */
import type { Decibels, Hertz } from '../dsp/units.ts';
import type { RackConfig } from '../engine/config.ts';
import { rackSettle } from '../engine/settling.ts';
import { rackConfig } from '../render/engine-config.ts';
import type { Planes, RackRenderer } from '../render/rack-renderer.ts';
import { emptyRack, type Stage } from '../session/document.ts';
import { addedPercent } from './added-share.ts';
import { spanLead } from './match.ts';
import { SteadyState } from './tone-bench/steady-state.ts';
import { toneFigures } from './tone-bench/tone-figures.ts';
import { coherentTone, windowFor } from './tone-bench/window.ts';

/** A bass, a middle and a treble tone, Hz; the highest has harmonics to the third below 16 kHz. */
const TONES: readonly Hertz[] = [60, 997, 5000];
const TONE_SECONDS = 0.25;

export interface ToneProfile {
  readonly hz: Hertz;
  /** THD_F; null where there is nothing to measure. */
  readonly thdPercent: number | null;
  /** Even and odd harmonics, each in sum. */
  readonly evenDbc: Decibels | null;
  readonly oddDbc: Decibels | null;
}

export interface RackProfile {
  /** Sines at the operating level into the rack, the lowest first. */
  readonly tones: readonly ToneProfile[];
  /** Share of the output over the programme's loudest three seconds that no filter of the input explains; null without one. */
  readonly addedPercent: number | null;
}

/** A programme at a rack's input, and its loudest seconds in frames. */
export interface Programme {
  readonly planes: Planes;
  readonly span: readonly [number, number];
}

/** Yields about every 10 ms, so that it can be given up. */
export function* rackProfile(
  renderer: RackRenderer,
  stages: readonly Stage[],
  sampleRate: Hertz,
  operatingDbfs: Decibels,
  programme: Programme | null,
): Generator<void, RackProfile> {
  const rack = rackConfig({ ...emptyRack(), stages: [...stages] }, false);
  const steady = new SteadyState(renderer, sampleRate);
  const size = windowFor(TONE_SECONDS, sampleRate);
  const tones: ToneProfile[] = [];
  for (const hz of TONES) {
    const tone = coherentTone(hz, operatingDbfs, sampleRate, size);
    const { planes } = yield* steady.measure(rack, [tone.samples]);
    const { thdFPercent, evenDbc, oddDbc } = toneFigures(planes[0], sampleRate, tone.hz);
    tones.push({ hz, thdPercent: thdFPercent, evenDbc, oddDbc });
    yield;
  }
  return { tones, addedPercent: programme && (yield* addedTo(renderer, rack, programme, sampleRate)) };
}

function* addedTo(renderer: RackRenderer, rack: RackConfig, { planes, span }: Programme, sampleRate: Hertz) {
  const lead = spanLead(span[0], sampleRate, rackSettle(rack));
  const heard = planes.map((plane) => plane.subarray(span[0] - lead, span[1]));
  const output = yield* renderer.render(rack, heard);
  const settled = (signal: Planes) => signal.map((plane) => plane.subarray(lead));
  return yield* addedPercent(settled(heard), settled(output));
}
