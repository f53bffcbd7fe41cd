/** Which files an export writes, and all that must be known before the first byte. */
import type { GraphConfig } from '../engine/config.ts';
import { sessionConfig } from '../render/engine-config.ts';
import type { Planes } from '../render/rack-renderer.ts';
import { sessionFrames } from '../render/session-render.ts';
import type { SessionDocument } from '../session/document.ts';
import { stripBext } from './export-bext.ts';
import type { ExportOptions } from './export-options.ts';
import type { PlannedFile } from './planned-files.ts';
import { plannedFiles } from './planned-files.ts';
import { tailFrames } from './tail.ts';

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
