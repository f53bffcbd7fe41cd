/** report.json: what was rendered, how, and what it measures. Its keys are a promise; see the README. */

import { SESSION_LATENCY } from '../engine/session-engine.ts';
import { findStageKind } from '../engine/stages/catalogue.ts';
import { loweredSentence } from '../export/pair-headroom.ts';
import type { MatchFigures, SessionResult } from '../measure/figures.ts';
import { MATCH_TOLERANCE_LU } from '../measure/figures.ts';
import { mixTrimDb } from '../render/engine-config.ts';
import type { FaderPoint } from '../render/tap-stream.ts';
import type { Rack, SessionDocument, Stage } from '../session/document.ts';
import { MIX_ID } from '../session/document.ts';
import type { FileFigures } from './file-figures.ts';
import type { RenderJob } from './render-job.ts';
import { signedText } from './sheet.ts';
import { version } from './version.ts';

/** One written file: its name, samples that didn't fit, and its figures as `measure` gives them. */
export type RenderedMix = { readonly file: string; readonly overs: number } & FileFigures;

export interface RenderedRack {
  readonly id: string;
  readonly name: string;
  readonly place: 'channel' | 'bus' | 'mix';
  readonly on: boolean;
  readonly matchGainDb: number | null;
  readonly matchTrimDb: number;
  /** Over the match region, after the gain and before the trim by hand; null where the gain came with the session. */
  readonly residualLu: number | null;
  readonly spreadLowLu: number | null;
  readonly spreadHighLu: number | null;
  readonly stages: readonly { readonly kind: string; readonly on: boolean; readonly params: Stage['params'] }[];
}

export interface Report {
  readonly program: string;
  readonly input: string;
  readonly sampleRate: number;
  readonly channels: number;
  readonly frames: number;
  readonly seconds: number;
  readonly bits: 16 | 24 | 'float';
  readonly oversampling: 4 | 8;
  readonly alignmentDbfs: number;
  /** Latency of the engine, which is taken out of both files. */
  readonly latencySamples: number;
  readonly matching: boolean;
  readonly matchSource: 'computed' | 'stored';
  readonly matchRegion: { readonly startSeconds: number; readonly endSeconds: number };
  /** Of one file: the gain that the coloured side got in all. Of a session: the last gain, at the output of the mix. */
  readonly matchGainDb: number | null;
  /** Loudness of coloured.wav less that of clean.wav over the match region, LU. */
  readonly residualLu: number | null;
  /** By hand on the mix, on purpose: what `residualLu` should then be. */
  readonly matchTrimDb: number;
  /** Within 0.1 LU of that; null where nothing is matched. */
  readonly matched: boolean | null;
  /** By how much both mixes were lowered together so that neither was limited, dB; 0 where none needed it. */
  readonly headroomDb: number;
  readonly spreadLowLu: number | null;
  readonly spreadHighLu: number | null;
  readonly addedPercent: number | null;
  readonly clean: RenderedMix;
  readonly coloured: RenderedMix;
  readonly racks: readonly RenderedRack[];
  readonly warnings: readonly string[];
  readonly format: 'wav' | 'flac';
  /** Frames at the end of a session's files that come after its longest sound. */
  readonly tailFrames: number;
  /** Prints of channels and buses, where they were asked for. */
  readonly stems: readonly ReportStem[];
}

/** A written stem. */
export interface ReportStem {
  readonly file: string;
  readonly kind: 'channel' | 'bus';
  /** Of the channel or bus. */
  readonly id: string;
  readonly name: string;
  readonly overs: number;
  /** Where it was taken: before the fader (rack and match only), or after it (gain and balance in it). */
  readonly fader: FaderPoint;
  readonly channels: 1 | 2;
}

/** What was rendered, and with which gains. */
export interface Rendered {
  /** With the gains that were used. */
  readonly document: SessionDocument;
  readonly source: 'computed' | 'stored';
  /** The analysis, where one was needed. */
  readonly result: SessionResult | null;
  /** Frames of the match region. */
  readonly region: readonly [number, number];
  readonly frames: number;
  readonly tailFrames: number;
}

export interface ReportParts {
  readonly job: RenderJob;
  readonly render: Rendered;
  readonly format: 'wav' | 'flac';
  readonly stems: readonly ReportStem[];
  readonly input: string;
  readonly bits: 16 | 24 | 'float';
  readonly factor: 4 | 8;
  readonly clean: RenderedMix;
  readonly coloured: RenderedMix;
  readonly residualLu: number | null;
  readonly headroomDb: number;
  readonly warnings: readonly string[];
}

export function makeReport({
  job,
  render,
  input,
  bits,
  factor,
  residualLu,
  headroomDb,
  clean,
  coloured,
  warnings,
  format,
  stems,
}: ReportParts): Report {
  const { document, result, region, frames, tailFrames } = render;
  const { sampleRate } = document;
  const output = result?.outputMatch ?? null;
  const trimDb = mixTrimDb(document.mix.rack, document.matching);
  const missedLu =
    document.matching && document.mix.outputMatchDb !== null && residualLu !== null ? residualLu - trimDb : null;
  const matched = missedLu === null ? null : Math.abs(missedLu) <= MATCH_TOLERANCE_LU;
  return {
    program: `level-best ${version}`,
    input,
    sampleRate,
    channels: job.channels,
    frames,
    seconds: frames / sampleRate,
    bits,
    oversampling: factor,
    alignmentDbfs: document.alignmentDbfs,
    latencySamples: SESSION_LATENCY,
    matching: document.matching,
    matchSource: render.source,
    matchRegion: { startSeconds: region[0] / sampleRate, endSeconds: region[1] / sampleRate },
    matchGainDb: totalGain(job, render),
    residualLu,
    matchTrimDb: trimDb,
    matched,
    headroomDb,
    spreadLowLu: output?.spreadLowLu ?? null,
    spreadHighLu: output?.spreadHighLu ?? null,
    addedPercent: result?.addedPercent ?? null,
    clean,
    coloured,
    racks: [
      ...document.channels.map(({ id, name, rack }) => reportRack(id, name, 'channel', rack, result?.racks[id]?.match)),
      ...document.buses.map(({ id, name, rack }) => reportRack(id, name, 'bus', rack, result?.racks[id]?.match)),
      reportRack(MIX_ID, 'Mix', 'mix', document.mix.rack, result?.racks[MIX_ID]?.match),
    ],
    warnings: [...warnings, ...pairWarnings(headroomDb, matched === false ? missedLu : null, clean, coloured)],
    format,
    tailFrames,
    stems,
  };
}

/** DC that works a stage off its middle and takes a file's room, dBFS. */
const MUCH_DC_DBFS = -30;

function pairWarnings(
  headroomDb: number,
  missedLu: number | null,
  clean: RenderedMix,
  coloured: RenderedMix,
): string[] {
  const dcDbfs = clean.dcDbfs === null ? -Infinity : clean.dcDbfs - headroomDb;
  const limited =
    clean.overs + coloured.overs > 0 ? ' Samples over full scale were limited: let both be lowered together.' : '';
  return [
    ...(headroomDb < 0 ? [loweredSentence(headroomDb)] : []),
    ...(missedLu === null
      ? []
      : [
          `Not matched: coloured is off by ${signedText(missedLu, 2, true)} LU, and the louder side will sound better.${limited}`,
        ]),
    ...(dcDbfs > MUCH_DC_DBFS && (headroomDb < 0 || missedLu !== null)
      ? [
          `The recording has DC of ${signedText(dcDbfs, 1)} dBFS: it works the stages off their middle, and the match raises it with the sound. Take it out first.`,
        ]
      : []),
  ];
}

function totalGain({ kind }: RenderJob, { document }: Rendered): number | null {
  const output = document.mix.outputMatchDb;
  if (!document.matching || output === null) return null;
  const { rack } = document.channels[0];
  return kind === 'file' && rack.stages.length > 0 ? (rack.matchGainDb ?? 0) + output : output;
}

function reportRack(
  id: string,
  name: string,
  place: RenderedRack['place'],
  rack: Rack,
  match: MatchFigures | null | undefined,
): RenderedRack {
  const matched = rack.on && rack.stages.length > 0;
  return {
    id,
    name,
    place,
    on: rack.on,
    matchGainDb: matched ? rack.matchGainDb : null,
    matchTrimDb: rack.matchTrimDb,
    residualLu: matched ? (match?.residualLu ?? null) : null,
    spreadLowLu: matched ? (match?.spreadLowLu ?? null) : null,
    spreadHighLu: matched ? (match?.spreadHighLu ?? null) : null,
    stages: rack.stages.map(({ kind, on, params }) => ({ kind, on, params: allValues(kind, params) })),
  };
}

/** Every declared parameter, so that the settings are known even when a default changes one day. */
function allValues(kind: string, params: Stage['params']): Stage['params'] {
  const parameters = findStageKind(kind)?.parameters ?? [];
  return Object.fromEntries(parameters.map(({ id, default: value }) => [id, params[id] ?? value]));
}
