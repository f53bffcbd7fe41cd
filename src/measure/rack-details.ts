import { thirdOctaveDifference, thirdOctavePowers } from '../dsp/third-octaves.ts';
import { dbToGain } from '../dsp/units.ts';
import { rackConfig } from '../render/engine-config.ts';
import { scaled } from '../render/planes.ts';
import type { Planes, RackRenderer } from '../render/rack-renderer.ts';
import type { Rack, SessionDocument } from '../session/document.ts';
import { addedPercent } from './added-share.ts';
import type { RackDetails, SideFigures, StageLoop, TapLevels } from './figures.ts';
import { placedInput } from './placed-input.ts';
import type { RackEntry } from './rack-entry.ts';
import { heardMatch } from './rendered-session.ts';
import { sideFigures } from './side-figures.ts';
import { curveRange } from './stage-face.ts';
import { hasMemory, stageLoop } from './stage-loop.ts';

/** Bands this far below the strongest are not heard beside it: their difference would be a tall bar for nothing. */
const TONE_FLOOR_DB = 60;
/** Taps, histograms, tone and added share of one rack. */
export function* rackDetails(
  entry: RackEntry,
  rack: Rack,
  document: SessionDocument,
  quick: RackRenderer,
): Generator<void, RackDetails> {
  const { sampleRate } = entry.input;
  const config = rackConfig(rack, false);
  const taps: TapLevels[] = [tapOf(entry.input.figures)];
  const histograms: Float64Array[] = [];
  const loops: (StageLoop | null)[] = [];
  let signal = entry.input.planes;
  for (let i = 0; i < config.stages.length; i++) {
    const stage = rack.stages[i];
    const trimIn = typeof stage.params.trimIn === 'number' ? stage.params.trimIn : 0;
    const reached = placedInput(signal, stage, sampleRate);
    histograms.push(histogram(reached, dbToGain(trimIn), curveRange(document.alignmentDbfs)));
    loops.push(
      hasMemory(stage)
        ? yield* stageLoop(quick, stage, config.stages[i], signal, sampleRate, document.alignmentDbfs)
        : null,
    );
    signal =
      i === config.stages.length - 1
        ? entry.output
        : yield* quick.render({ ...config, stages: config.stages.slice(0, i + 1) }, entry.input.planes);
    taps.push(tapOf(sideFigures(signal, sampleRate)));
    yield;
  }
  const matched = scaled(entry.output, heardMatch(entry, rack, document));
  const before = thirdOctavePowers(entry.input.planes, sampleRate);
  yield;
  const after = thirdOctavePowers(matched, sampleRate);
  yield;
  return {
    taps,
    histograms,
    loops,
    toneDb: thirdOctaveDifference(before, after, TONE_FLOOR_DB),
    addedPercent: config.stages.length > 0 ? yield* addedPercent(entry.input.planes, entry.output) : 0,
  };
}

function tapOf({ truePeakDbtp, integratedLufs }: SideFigures): TapLevels {
  return { truePeakDbtp, integratedLufs };
}

const HISTOGRAM_BINS = 64;

/** Counts of |gain·x| over ±range in HISTOGRAM_BINS bins, relative to the fullest. Every fourth sample is enough. */
export function histogram(planes: Planes, gain: number, range: number): Float64Array {
  const counts = new Float64Array(HISTOGRAM_BINS);
  for (const plane of planes) {
    for (let i = 0; i < plane.length; i += 4) {
      const bin = Math.floor(((gain * plane[i]) / range + 1) * 0.5 * HISTOGRAM_BINS);
      if (bin >= 0 && bin < HISTOGRAM_BINS) counts[bin]++;
    }
  }
  const most = counts.reduce((a, b) => Math.max(a, b), 0);
  return most > 0 ? counts.map((count) => count / most) : counts;
}
