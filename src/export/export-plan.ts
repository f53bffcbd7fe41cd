/** Which files an export writes, and all that must be known before the first byte. */
import type { GraphConfig } from '../engine/config.ts';
import type { BroadcastInfo } from '../files/audio-data.ts';
import { sessionConfig } from '../render/engine-config.ts';
import type { Planes } from '../render/rack-renderer.ts';
import { sessionFrames } from '../render/session-render.ts';
import type { Tap } from '../render/tap-stream.ts';
import type { RackId, SessionDocument } from '../session/document.ts';
import { MIX_ID } from '../session/document.ts';
import { codingHistory, commonReference, stripBext } from './export-bext.ts';
import type { ExportSides } from './export-document.ts';
import { fileName } from './file-name.ts';
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
  /** Every channel before its bus, and every bus print. */
  readonly stems?: boolean;
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
  readonly name: string;
  readonly kind: ExportKind;
  readonly rackId: RackId;
  /** The strip's name, or that of the side. */
  readonly title: string;
  readonly tap: Tap;
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
  const files = plannedFiles(options, document);
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

function plannedFiles(options: ExportOptions, document: SessionDocument): PlannedFile[] {
  const { sides, pair = true, stems = false, format } = options;
  const history = (what: string) => codingHistory(options, document.sampleRate, what);
  const common = commonReference(document, options.bext);
  const date = options.now?.toISOString();
  const stamp: BroadcastInfo = {
    originator: 'Level Best',
    ...(date ? { date: date.slice(0, 10), time: date.slice(11, 19) } : {}),
  };
  const session = document.name;
  const mixes = (['a', 'b'] as const).map((side): PlannedFile => {
    const kind = side === 'a' ? 'clean' : 'coloured';
    const title = sides.names[side];
    const plain = title === (side === 'a' ? 'Clean' : 'Coloured');
    return {
      name: `${plain ? kind : fileName(`side ${side.toUpperCase()} ${title}`)}.${format}`,
      kind,
      rackId: MIX_ID,
      title,
      tap: { side, place: 'mix', index: 0 },
      bext: { ...stamp, ...common, description: `${session}: ${title}`, codingHistory: history(`mix, ${title}`) },
    };
  });
  const digits = (count: number) => String(count).length;
  const channels = document.channels.map((channel, index): PlannedFile => {
    const number = String(index + 1).padStart(digits(document.channels.length), '0');
    return {
      name: `${fileName(`channel ${number} ${channel.name}`)}.${format}`,
      kind: 'channel',
      rackId: channel.id,
      title: channel.name,
      tap: { side: 'b', place: 'channel', index },
      bext: {
        ...stamp,
        ...stripBext(document, channel, options.bext),
        codingHistory: history(`channel, ${channel.name}`),
      },
    };
  });
  const buses = document.buses.map(({ id, name }, index): PlannedFile => {
    const number = String(index + 1).padStart(digits(document.buses.length), '0');
    return {
      name: `${fileName(`bus ${number} ${name}`)}.${format}`,
      kind: 'bus',
      rackId: id,
      title: name,
      tap: { side: 'b', place: 'bus', index },
      bext: {
        ...stamp,
        ...common,
        description: `${session}: bus ${name}`,
        codingHistory: history(`bus print, ${name}`),
      },
    };
  });
  return [...(pair ? mixes : []), ...(stems ? [...channels, ...buses] : [])];
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
