/** From a session and its analysis to the model of its report. */
import { THIRD_OCTAVE_NAMES } from '../../dsp/third-octaves.ts';
import type { Parameter } from '../../engine/parameters.ts';
import { formatValue, USUAL_TONE_HZ } from '../../engine/parameters.ts';
import { SESSION_LATENCY } from '../../engine/session-engine.ts';
import { findStageKind } from '../../engine/stages/catalogue.ts';
import type { MatchFigures, RackResult, StageFace } from '../../measure/figures.ts';
import { MATCH_TOLERANCE_LU } from '../../measure/figures.ts';
import { SessionAnalysis } from '../../measure/session-analysis.ts';
import { stageFace } from '../../measure/stage-face.ts';
import { mixTrimDb, sessionConfig } from '../../render/engine-config.ts';
import type { Planes } from '../../render/rack-renderer.ts';
import { CHUNK_FRAMES, TapStream } from '../../render/tap-stream.ts';
import type { Rack, RackId, SessionDocument, Stage } from '../../session/document.ts';
import { findRack, MIX_ID, rackIds } from '../../session/document.ts';
import type { ExportSides } from '../export-document.ts';
import { analysisSides, areMatched, exportSides, matchedSides } from '../export-document.ts';
import { DISTRIBUTION } from '../export-plan.ts';
import { loweredSentence } from '../pair-headroom.ts';
import { MixSpectra, rounded } from './mix-spectra.ts';
import type { ReportExport, ReportMatch, ReportRack, ReportStage, ReportTrial, SessionReport } from './report-model.ts';
import { REPORT_FORMAT, REPORT_VERSION } from './report-model.ts';
import { figure } from './words.ts';

export interface ReportOptions {
  readonly document: SessionDocument;
  /** Each channel's sound at the session's rate, by its id. */
  readonly sources: ReadonlyMap<string, Planes>;
  readonly factor: 4 | 8;
  /** Program and version. */
  readonly program: string;
  readonly now?: Date;
  readonly trials?: readonly ReportTrial[];
  /** By how much the mixes that go with it were lowered together, dB, 0 or less. */
  readonly pairHeadroomDb?: number;
  readonly exported?: ReportExport;
  /** Told the share that is done, 0 to 1. */
  readonly onProgress?: (share: number) => void;
}

/** Shares of the whole that the analysis, the racks' details and the spectra take, about. */
const STEPS = { analysis: 0.5, details: 0.8 } as const;

/**
 * Measures a session over its match region and describes it. Null where there is no sound in the region. Yields every
 * few milliseconds.
 */
export function* buildReport(options: ReportOptions): Generator<void, SessionReport | null> {
  const { document, sources, factor, program, now, trials = [], onProgress } = options;
  const { pairHeadroomDb = 0, exported = null } = options;
  const { sampleRate, alignmentDbfs } = document;
  const plain = exportSides(document);
  const analysis = new SessionAnalysis(sampleRate, alignmentDbfs, factor);
  for (const { id } of plain.b.channels) analysis.setSource(id, sources.get(id) ?? null);
  const progress = (share: number) => onProgress?.(STEPS.analysis * share);
  const result = yield* analysis.analyse(plain.b, progress, analysisSides(plain));
  if (!result) return null;
  const isStored = document.matching && areMatched(plain);
  const sides = isStored ? plain : matchedSides(plain, result);
  const ids = rackIds(sides.b);
  const racks: ReportRack[] = [];
  for (const id of ids) {
    const details = yield* analysis.details(sides.b, id);
    const found = result.racks[id];
    racks.push({
      ...describeRack(sides.b, id, found),
      levels: details?.taps ?? [],
      toneDb: (details?.toneDb ?? []).map((db) => (db === null ? null : rounded(db))),
      addedPercent: details?.addedPercent ?? null,
    });
    onProgress?.(STEPS.analysis + ((STEPS.details - STEPS.analysis) * racks.length) / ids.length);
    yield;
  }
  const region = analysis.region(sides.b);
  const mix = yield* mixSpectra(sides, sources, factor, region, (share) =>
    onProgress?.(STEPS.details + (1 - STEPS.details) * share),
  );
  const isColoured = [...sides.b.buses, sides.b.mix].some(({ rack }) => rack.on && rack.stages.some(({ on }) => on));
  const isScoped = document.scope.kind !== 'all';
  const trimDb = mixTrimDb(sides.b.mix.rack, document.matching);
  const match = document.matching ? describeMatch(sides.b.mix.outputMatchDb, trimDb, result.outputMatch) : null;
  return {
    format: REPORT_FORMAT,
    version: REPORT_VERSION,
    program,
    createdAt: now?.toISOString() ?? null,
    session: {
      name: document.name,
      notes: document.notes,
      sampleRate,
      seconds: analysis.frames / sampleRate,
      alignmentDbfs,
      oversampling: factor,
      latencySamples: SESSION_LATENCY,
      matching: document.matching,
      matchSource: isStored ? 'stored' : 'computed',
      matchRegion: { startSeconds: region[0] / sampleRate, endSeconds: region[1] / sampleRate },
      pairHeadroomDb,
      muted: sides.muted,
    },
    statements: [
      ...(isColoured ? [DISTRIBUTION] : []),
      ...(isScoped ? ['The switch compares some racks only; the others are alike on both sides.'] : []),
      ...(document.matching ? [] : ['Matching is off: levels are as they come, and louder sounds better.']),
      ...(pairHeadroomDb < 0 ? [loweredSentence(pairHeadroomDb)] : []),
      ...mismatches([{ name: 'The session', match }, ...racks]),
    ],
    sides: {
      a: { name: sides.names.a, figures: result.clean },
      b: { name: sides.names.b, figures: result.coloured },
      match,
      addedPercent: result.addedPercent,
    },
    mix: { thirdOctavesHz: THIRD_OCTAVE_NAMES, ...mix },
    racks,
    scenes: document.scenes.map(({ name, notes }) => ({ name, notes })),
    trials,
    exported,
  };
}

function describeRack(
  document: SessionDocument,
  id: RackId,
  found: RackResult | undefined,
): Omit<ReportRack, 'levels' | 'toneDb' | 'addedPercent'> {
  const rack = findRack(document, id) as Rack;
  const channel = document.channels.find((one) => one.id === id);
  const bus = document.buses.find((one) => one.id === id);
  const into = document.buses.find((one) => one.id === channel?.busId)?.name ?? 'Mix';
  const matches = document.matching && rack.on && rack.stages.length > 0;
  return {
    id,
    name: channel?.name ?? bus?.name ?? 'Mix',
    place: channel ? 'channel' : bus ? 'bus' : 'mix',
    into: id === MIX_ID ? 'Output' : into,
    file: channel?.audio?.file ?? null,
    gainDb: channel?.gainDb ?? bus?.gainDb ?? null,
    pan: channel?.pan ?? null,
    on: rack.on,
    notes: rack.notes,
    match: matches ? describeMatch(rack.matchGainDb, rack.matchTrimDb, found?.match ?? null) : null,
    input: found?.input ?? null,
    output: found?.output ?? null,
    stages: rack.stages.map((stage) => describeStage(stage, document.alignmentDbfs)),
  };
}

/** Of a gain that came with the session the residual is that of the exact one, moved by what lies between them. */
function describeMatch(gainDb: number | null, trimDb: number, exact: MatchFigures | null): ReportMatch | null {
  if (gainDb === null || !exact) return null;
  const off = gainDb - exact.gainDb;
  const moved = (value: number | null) => (value === null ? null : value + off);
  const residualLu = exact.residualLu + off;
  return {
    gainDb,
    trimDb,
    residualLu,
    matched: Math.abs(residualLu) <= MATCH_TOLERANCE_LU,
    spreadLowLu: moved(exact.spreadLowLu),
    spreadHighLu: moved(exact.spreadHighLu),
  };
}

/** One sentence for each match that misses its aim. */
function mismatches(all: readonly Pick<ReportRack, 'name' | 'match'>[]): string[] {
  return all.flatMap(({ name, match }) =>
    match && !match.matched ? [`${name} is not matched: off by ${figure(match.residualLu, 2, true)} LU.`] : [],
  );
}

function describeStage(stage: Stage, alignmentDbfs: number): ReportStage {
  const kind = findStageKind(stage.kind);
  const face = stageFace(stage, alignmentDbfs);
  const settingOf = (parameter: Parameter) => stage.params[parameter.id] ?? parameter.default;
  return {
    id: stage.id,
    kind: stage.kind,
    label: kind?.label ?? stage.kind,
    on: stage.on,
    notes: stage.notes,
    parameters: (kind?.parameters ?? []).map((parameter) => {
      const value = settingOf(parameter);
      const condition = kind?.parameters.find(({ id }) => id === parameter.when?.id);
      return {
        id: parameter.id,
        label: parameter.label,
        value,
        text: formatValue(parameter, value),
        unit: parameter.type === 'choice' || parameter.unit === '' ? null : parameter.unit,
        default: parameter.default,
        defaultText: formatValue(parameter, parameter.default),
        atDefault: value === parameter.default,
        inEffect: !condition || settingOf(condition) === parameter.when?.is,
      };
    }),
    toneHz: face?.toneHz ?? USUAL_TONE_HZ,
    thdPercent: face?.thdPercent ?? null,
    harmonics: face?.harmonics ?? [],
    onePercentDbfs: face?.onePercentDbfs ?? null,
    curve: curveOf(face),
  };
}

function curveOf(face: StageFace | null): ReportStage['curve'] {
  if (!face) return [];
  const digits = (value: number) => Number(value.toPrecision(6));
  return Array.from(face.curveX, (x, i) => [digits(x), digits(face.curveY[i])] as const);
}

/** Both mixes over the match region, in constant memory. */
function* mixSpectra(
  { a, b }: ExportSides,
  sources: ReadonlyMap<string, Planes>,
  factor: 4 | 8,
  [start, end]: readonly [number, number],
  onProgress: (share: number) => void,
): Generator<void, Pick<SessionReport['mix'], 'toneDb' | 'spectrum'>> {
  const { sampleRate, alignmentDbfs } = b;
  const spectra = new MixSpectra(sampleRate);
  const stream = new TapStream({
    sampleRate,
    factor,
    alignmentDbfs,
    a: a ? sessionConfig(a).b : sessionConfig(b).a,
    b: sessionConfig(b).b,
    inputs: b.channels.map(({ id }) => sources.get(id) ?? []),
    taps: (['a', 'b'] as const).map((side) => ({ side, place: 'mix', index: 0 })),
    start,
  });
  for (let at = start; at < end; at += CHUNK_FRAMES) {
    const count = Math.min(CHUNK_FRAMES, end - at);
    const [first, second] = stream.read(count);
    spectra.push(first, second, count);
    onProgress((at + count - start) / (end - start));
    yield;
  }
  return spectra.result();
}
