/** What the export says while it works and when it is done. */

import { loweredSentence } from '../../export/pair-headroom.ts';
import type { ExportBits, WrittenFile } from '../../stores/take-home-store.ts';
import type { ExportOutcome, TakeHomeStep } from '../../workers/take-home/protocol.ts';

export const STEP_WORDS: Readonly<Record<TakeHomeStep, string>> = {
  gathering: 'Gathering the sound',
  matching: 'Matching loudness',
  peaks: 'Looking for peaks',
  rendering: 'Rendering and writing',
  report: 'Measuring for the report',
  'clean-mix': 'Rendering the clean mix',
  comparing: 'Comparing',
};

/** One sentence for each file that has samples over full scale, and for a report that is missing. */
export function exportWarnings({ files, reported, headroomDb }: ExportOutcome, bits: ExportBits): string[] {
  const mixes = files.filter(({ kind }) => kind === 'clean' || kind === 'coloured');
  return [
    ...(headroomDb < 0 ? [loweredSentence(headroomDb)] : []),
    ...files.filter(({ overs }) => overs > 0).map((file) => overSentence(file, bits)),
    ...(bits !== 'float' && mixes.some(({ overs }) => overs > 0)
      ? ['Limited like this, clean and coloured are not matched any more. Let both be lowered alike instead.']
      : []),
    ...(reported ? [] : ['There is no report: there is no sound in the match region. Choose another one.']),
  ];
}

function overSentence({ name, overs, truePeakDbtp }: WrittenFile, bits: ExportBits): string {
  const samples = overs === 1 ? '1 sample' : `${overs} samples`;
  const peak = `true peak ${truePeakDbtp === null ? 'unknown' : `${signed(truePeakDbtp)} dBTP`}`;
  return bits === 'float'
    ? `${name}: ${samples} over full scale, kept as they are (${peak}). Turn it down before it becomes whole numbers.`
    : `${name}: ${samples} over full scale, limited (${peak}). Turn the gains down by that much, or export 32-bit float, which keeps them.`;
}

function signed(db: number): string {
  const text = Math.abs(db).toFixed(1);
  return Number(text) === 0 ? text : `${db < 0 ? '−' : '+'}${text}`;
}
