import { join } from 'node:path';
import type { RenderedRack, Report } from './render-report.ts';
import { channelsText, durationText, figure, rateText, signedText, table } from './sheet.ts';

/** What was rendered, for people: both sides next to each other. */
export function renderSheet(report: Report, out: string): string {
  const { clean, coloured } = report;
  const rows = [
    ['', '   Clean', 'Coloured', ''],
    ['Loudness', figure(clean.integratedLufs, 2), figure(coloured.integratedLufs, 2), 'LUFS'],
    ['True peak', figure(clean.truePeakDbtp), figure(coloured.truePeakDbtp), 'dBTP'],
    ['Peak to loudness', figure(clean.plrDb), figure(coloured.plrDb), 'dB'],
    ['DC', figure(clean.dcDbfs), figure(coloured.dcDbfs), 'dBFS'],
  ];
  const shape = `${rateText(report.sampleRate)}, ${channelsText(report.channels)}, ${durationText(report.seconds)}`;
  return [
    `${report.input}: ${shape}, over-sampled ${report.oversampling} times`,
    table(rows),
    matchLine(report),
    ...report.racks.filter(({ stages }) => stages.length > 0).map(rackLine),
    `Written: ${[clean.file, coloured.file, ...report.stems.map(({ file }) => file), 'report.json'].map((name) => join(out, name)).join(', ')}`,
  ].join('\n');
}

function matchLine(report: Report): string {
  const { matching, matchGainDb, residualLu, matched, matchTrimDb, headroomDb, spreadLowLu, spreadHighLu } = report;
  if (!matching) return 'Matching is off in this session.';
  if (matchGainDb === null || residualLu === null) return 'Nothing to match.';
  const spread =
    spreadLowLu === null || spreadHighLu === null
      ? ''
      : `; short-term ${signedText(spreadLowLu, 1, true)} to ${signedText(spreadHighLu, 1, true)} LU`;
  const off = residualLu - matchTrimDb;
  const trim = matchTrimDb === 0 ? '' : `, trimmed by ${signedText(matchTrimDb, 2, true)} dB on purpose`;
  const both = headroomDb < 0 ? `; both lowered by ${signedText(-headroomDb, 1)} dB` : '';
  return matched
    ? `Matched by ${signedText(matchGainDb, 2, true)} dB to within ${signedText(Math.abs(off), 2)} LU${trim}${spread}${both}`
    : `NOT MATCHED: a gain of ${signedText(matchGainDb, 2, true)} dB leaves ${signedText(off, 2, true)} LU${trim}${spread}${both}`;
}

function rackLine({ name, stages, on, matchGainDb }: RenderedRack): string {
  const kinds = stages.map(({ kind, on: stageOn }) => (stageOn ? kind : `(${kind})`)).join(' → ');
  const gain = matchGainDb === null ? '' : `, match ${signedText(matchGainDb, 2, true)} dB`;
  return `${name}: ${kinds}${on ? gain : ', off'}`;
}
