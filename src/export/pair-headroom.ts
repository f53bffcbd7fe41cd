/** Both mixes lowered together where one would pass full scale: limited by itself, it would no longer be matched. */
import type { Decibels } from '../dsp/units.ts';
import { dbToGain } from '../dsp/units.ts';
import { commonHeadroomDb } from '../measure/common-headroom.ts';
import type { ExportPlan } from './export-plan.ts';
import type { MeasuredFile } from './export-stream.ts';

/** True where the pair may have to be lowered, so that its peaks must be known first. */
export function needsPairHeadroom({ options, files }: ExportPlan): boolean {
  const { bits, overs = 'lower' } = options;
  return bits !== 'float' && overs === 'lower' && files.some(isMix);
}

/**
 * By how much both mixes of a plan are lowered, dB, as its files were measured: 0 where neither passes full scale,
 * otherwise what brings the louder true peak to −1 dBTP, as when listening.
 */
export function pairHeadroomDb(plan: ExportPlan, measured: readonly MeasuredFile[]): Decibels {
  const mixes = measured.filter(({ file }) => isMix(file));
  if (!needsPairHeadroom(plan) || mixes.every(({ samplePeak }) => samplePeak <= 1)) return 0;
  return commonHeadroomDb(mixes.map(({ truePeakDbtp }) => truePeakDbtp));
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

export function isMix({ kind }: ExportPlan['files'][number]): boolean {
  return kind === 'clean' || kind === 'coloured';
}
