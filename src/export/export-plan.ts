/** Which files an export writes, and all that must be known before the first byte. */
import type { GraphConfig } from '../engine/config.ts';
import type { BroadcastInfo } from '../files/audio-data.ts';
import { sessionConfig } from '../render/engine-config.ts';
import type { Planes } from '../render/rack-renderer.ts';
import { sessionFrames } from '../render/session-render.ts';
import type { FaderPoint, Tap } from '../render/tap-stream.ts';
import type { RackId, SessionDocument } from '../session/document.ts';
import { stripBext } from './export-bext.ts';
import type { ExportSides } from './export-document.ts';
import { plannedFiles } from './planned-files.ts';
import { tailFrames } from './tail.ts';

export type ExportFormat = 'wav' | 'flac';
export type ExportBits = 16 | 24 | '32f';
/** What becomes of mixes that pass full scale in whole numbers: both lowered alike, or each limited by itself. */
export type ExportOvers = 'lower' | 'limit';

export interface ExportOptions {
  /** Matched, with the gains that are heard. */
  readonly sides: ExportSides;
  /** Each channel's sound at the session's rate, by its id; a channel without is silent. */
  readonly sources: ReadonlyMap<string, Planes>;
  readonly factor: 4 | 8;
  readonly format: ExportFormat;
  /** Floats are for WAV only. */
  readonly bits: ExportBits;
  /** `lower` by default; floats are kept as they are. */
  readonly overs?: ExportOvers;
  /** Both mixes; the default. */
  readonly pair?: boolean;
  /** Every channel and every bus by itself: prints. */
  readonly stems?: boolean;
  /** Where prints are taken; before the fader by default, so that they drop back in under faders that stay. */
  readonly fader?: FaderPoint;
  /** Of both mixes; 2 by default. */
  readonly mixChannels?: 1 | 2;
  /** Lets what the filters still hold ring out behind the last source; the default. */
  readonly tail?: boolean;
  /** More of the sources' broadcast extensions than the session keeps, by channel id. */
  readonly bext?: ReadonlyMap<string, BroadcastInfo>;
  /** Program and version, for the coding history. */
  readonly program: string;
  /** When the files are written; left out, they state no date. */
  readonly now?: Date;
}

export type ExportKind = 'clean' | 'coloured' | 'channel' | 'bus';

export interface PlannedFile {
  /** With the folder it belongs into, if any: "channels before fader/melodica.wav". */
  readonly name: string;
  readonly kind: ExportKind;
  readonly rackId: RackId;
  /** The strip's name, or that of the side. */
  readonly title: string;
  readonly tap: Tap;
  readonly channels: 1 | 2;
  readonly bext: BroadcastInfo;
}

export interface ExportPlan {
  readonly options: ExportOptions;
  readonly files: readonly PlannedFile[];
  /** Of every file alike. */
  readonly frames: number;
  /** How many of them come after the longest source. */
  readonly tailFrames: number;
  readonly sampleRate: number;
  readonly a: GraphConfig;
  readonly b: GraphConfig;
  readonly inputs: readonly Planes[];
  /** Worked into both mixes already, dB (`lowered`). */
  readonly headroomDb: number;
  /** What should be known before the files are handed on, one sentence each. */
  readonly warnings: readonly string[];
}

/**
 * Plans an export. Every file starts with sample 0 of the sources and they are all equally long: as long as the longest
 * source, and with `tail` up to the tenth of a second after which nothing in any of the files is louder than −120 dBFS
 * (at most ten seconds more; none where no stage adds anything).
 */
export function planExport(options: ExportOptions): ExportPlan {
  const { sides, sources, factor, tail = true } = options;
  const { b: document } = sides;
  const { sampleRate, alignmentDbfs } = document;
  const b = sessionConfig(document).b;
  const a = sides.a ? sessionConfig(sides.a).b : sessionConfig(document).a;
  const inputs = document.channels.map(({ id }) => sources.get(id) ?? []);
  const files = plannedFiles(options, inputs);
  const length = sessionFrames(document, sources);
  const stream = { sampleRate, factor, alignmentDbfs, a, b, inputs, taps: files.map(({ tap: place }) => place) };
  const added = tail && length > 0 && files.length > 0 ? tailFrames(stream, length) : 0;
  return {
    options,
    files,
    frames: length + added,
    tailFrames: added,
    sampleRate,
    a,
    b,
    inputs,
    headroomDb: 0,
    warnings: warningsOf(options, document),
  };
}

function warningsOf({ sides, stems, bext }: ExportOptions, document: SessionDocument): string[] {
  const muted = sides.muted.map((name) => `"${name}"`).join(', ');
  const coloured = [...document.buses, { name: 'the mix', rack: document.mix.rack }].filter(
    ({ rack }) => rack.on && rack.stages.some(({ on }) => on),
  );
  const references = new Set(
    document.channels.map((channel) => stripBext(document, channel, bext).timeReference ?? null),
  );
  return [
    ...(muted ? [`Muted, and so in no file: ${muted}.`] : []),
    ...(stems && coloured.length > 0 ? [DISTRIBUTION] : []),
    ...(references.size > 1
      ? ['The sources state different places in time; buses and mixes state none, and every file starts at sample 0.']
      : []),
  ];
}

/** Said wherever stems are handed on. */
export const DISTRIBUTION =
  'A bus or mix with colour does not distribute over stems: the stems add up to what goes into it, and what comes out is only right as its own print.';
