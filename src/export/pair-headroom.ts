/** Both mixes lowered together where one would pass full scale: limited by itself, it would no longer be matched. */
import { TruePeakMeter } from '../dsp/true-peak.ts';
import type { Decibels } from '../dsp/units.ts';
import { dbToGain } from '../dsp/units.ts';
import { commonHeadroomDb } from '../measure/common-headroom.ts';
import { CHUNK_FRAMES, TapStream } from '../render/tap-stream.ts';
import type { ExportPlan } from './export-plan.ts';

/** True where the pair may have to be lowered, so that its peaks must be known first. */
export function needsPairHeadroom({ options, files }: ExportPlan): boolean {
  const { bits, overs = 'lower' } = options;
  return bits !== '32f' && overs === 'lower' && files.some(isMix);
}

/**
 * By how much both mixes of a plan are lowered, dB: 0 where neither passes full scale, otherwise what brings the louder
 * true peak to −1 dBTP, as when listening. Takes one pass over the session; yields now and then.
 * @param onProgress told the share done, 0 to 1
 */
export function* pairHeadroomDb(
  plan: ExportPlan,
  onProgress: (share: number) => void = () => undefined,
): Generator<void, Decibels> {
  if (!needsPairHeadroom(plan)) return 0;
  const { frames, sampleRate, options, a, b, inputs } = plan;
  const { alignmentDbfs } = options.sides.b;
  const taps = plan.files.filter(isMix).map(({ tap }) => tap);
  const stream = new TapStream({ sampleRate, factor: options.factor, alignmentDbfs, a, b, inputs, taps });
  const meters = taps.map(() => new TruePeakMeter(sampleRate, 2));
  let highest = 0;
  for (let at = 0; at < frames; at += CHUNK_FRAMES) {
    const count = Math.min(CHUNK_FRAMES, frames - at);
    for (const [index, planes] of stream.read(count).entries()) {
      meters[index].process(planes, 0, count);
      highest = Math.max(highest, largestOf(planes, count));
    }
    onProgress(Math.min(1, (at + count) / frames));
    yield;
  }
  for (const meter of meters) meter.flush();
  return highest > 1 ? commonHeadroomDb(meters.map(({ dbtp }) => dbtp)) : 0;
}

/** The plan with both mixes lowered; prints of channels and buses stay as they are. */
export function lowered(plan: ExportPlan, headroomDb: Decibels): ExportPlan {
  if (headroomDb === 0) return plan;
  const side = (graph: ExportPlan['a']) => ({ ...graph, outputGain: graph.outputGain * dbToGain(headroomDb) });
  return { ...plan, headroomDb, a: side(plan.a), b: side(plan.b) };
}

/** What was lowered, in words, for whoever gets the files. */
export function loweredSentence(headroomDb: Decibels): string {
  return `Both mixes are written ${Math.abs(headroomDb).toFixed(1)} dB lower than they come, alike, so that neither passes full scale and they stay matched.`;
}

function isMix({ kind }: ExportPlan['files'][number]): boolean {
  return kind === 'clean' || kind === 'coloured';
}

function largestOf(planes: readonly Float32Array[], frames: number): number {
  let largest = 0;
  for (const plane of planes) {
    for (let i = 0; i < frames; i++) {
      const size = Math.abs(plane[i]);
      if (size > largest) largest = size;
    }
  }
  return largest;
}
