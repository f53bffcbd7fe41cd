/** Which files of an export will go over full scale, said before it is written, as far as the analysis knows it. */

import { gainToDb } from '../../dsp/units.ts';
import { planGraph, stripAt } from '../../engine/graph-plan.ts';
import type { ExportPlan } from '../../export/export-plan.ts';
import { needsPairHeadroom } from '../../export/pair-headroom.ts';
import type { PlannedFile } from '../../export/planned-files.ts';
import type { RackFigures, SideFigures } from '../../measure/figures.ts';
import type { ExportBits } from '../../stores/take-home-store.ts';

/** What the analysis knows of the session. */
export interface KnownFigures {
  /** `idle`: all figures are of the session as it is. */
  readonly status: string;
  readonly clean?: SideFigures | null;
  readonly coloured?: SideFigures | null;
  rack?(id: string): RackFigures | undefined;
}

/**
 * One sentence that names every file that is sure to go over, by how much, and what to do; none where no file is.
 * @param isWhole false where the figures are of a part of the session only
 */
export function overSentences(
  plan: ExportPlan,
  files: readonly PlannedFile[],
  figures: KnownFigures,
  bits: ExportBits,
  isWhole: boolean,
): string[] {
  if (figures.status !== 'idle') return [];
  const isLowered = needsPairHeadroom(plan);
  const over = files.flatMap((file) => {
    // Mixes that would go over are lowered together instead.
    if (isLowered && (file.kind === 'clean' || file.kind === 'coloured')) return [];
    const peak = peakDb(plan, file, figures);
    return peak === null || peak < 0.005 ? [] : [`${file.name} by ${peak.toFixed(peak < 0.1 ? 2 : 1)} dB`];
  });
  if (over.length === 0) return [];
  const fate =
    bits === 'float'
      ? 'Over full scale, and kept so in floats'
      : 'Over full scale, and limited if it is written like this';
  const advice =
    bits === 'float'
      ? 'Turn them down before they become whole numbers.'
      : 'Turn them down, or choose 32 bit float, which keeps them.';
  const elsewhere = isWhole ? '' : ' Outside the match region there may be more.';
  return [`${fate}: ${over.join(', ')}. ${advice}${elsewhere}`];
}

/** The highest sample that is sure to be in a file, dBFS; null where it isn't known. */
function peakDb({ options, b }: ExportPlan, { kind, rackId, tap }: PlannedFile, figures: KnownFigures): number | null {
  const { sides } = options;
  // The analysis sums all channels, so what is summed is known only where all of them are in the files.
  if (kind !== 'channel' && sides.muted.length > 0) return null;
  if (kind === 'clean') return highest(figures.clean);
  if (kind === 'coloured') return highest(figures.coloured);
  const peak = highest(figures.rack?.(rackId)?.output);
  if (peak === null || tap.fader === 'before') return peak;
  const graph = planGraph(b);
  const { left, right } = graph.strips[stripAt(graph, tap.place, tap.index)];
  // Balance turns one side down. Of a stereo channel the peak may stand on that side.
  const isMono = options.sources.get(rackId)?.length === 1;
  return peak + gainToDb(isMono ? Math.max(left, right) : Math.min(left, right));
}

function highest(figures: SideFigures | null | undefined): number | null {
  const { positivePeakDbfs = null, negativePeakDbfs = null } = figures ?? {};
  if (positivePeakDbfs === null && negativePeakDbfs === null) return null;
  return Math.max(positivePeakDbfs ?? -Infinity, negativePeakDbfs ?? -Infinity);
}
