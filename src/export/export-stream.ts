/** An export as a stream of encoded pieces: one pass over the session for any number of files, in constant memory. */
import { seededRandom } from '../dsp/random.ts';
import { TruePeakMeter } from '../dsp/true-peak.ts';
import { orNull } from '../dsp/units.ts';
import { openFlacEncoder } from '../files/flac-encoder.ts';
import type { EncoderOptions, Patch, SoundEncoder } from '../files/sound-encoder.ts';
import { WavEncoder } from '../files/wav-encoder.ts';
import { CHUNK_FRAMES, TapStream } from '../render/tap-stream.ts';
import type { ExportPlan, PlannedFile } from './export-plan.ts';

/** The next bytes of one file, or at its end a patch of earlier ones. */
export interface ExportPiece {
  readonly file: PlannedFile;
  readonly bytes: Uint8Array<ArrayBuffer>;
  /** Set on a patch: the place the bytes belong to. A target that can't go back leaves it out. */
  readonly at?: number;
}

/** What was written of a file. */
export interface ExportedFile {
  readonly file: PlannedFile;
  readonly frames: number;
  readonly bytes: number;
  /** Samples that were limited; of floats, samples over full scale, which are kept. */
  readonly overs: number;
  /** Of the sound before it was limited or rounded, dBTP; null for silence. */
  readonly truePeakDbtp: number | null;
}

export interface StreamOptions {
  readonly signal?: AbortSignal;
  /** Told the share that is done, 0 to 1. */
  readonly onProgress?: (share: number) => void;
  /** Only these of the plan's files; nothing else is computed. */
  readonly files?: readonly PlannedFile[];
  /** Resolves when the host has had a chance to hear of other things, a cancel for one. */
  readonly pause?: () => Promise<void>;
}

const DITHER_SEED = 1770;
/** Longest stretch without a pause. */
const PAUSE_MS = 25;

/**
 * Renders and encodes the plan's files, all in one pass, in pieces that come in turns. Returns what was written.
 * @throws AudioFileError where a format can't hold it; the signal's reason where it is aborted
 */
export async function* exportPieces(
  plan: ExportPlan,
  { signal, onProgress, files = plan.files, pause = nextTask }: StreamOptions = {},
): AsyncGenerator<ExportPiece, ExportedFile[]> {
  const { frames } = plan;
  signal?.throwIfAborted();
  const open: { file: PlannedFile; encoder: SoundEncoder; meter: TruePeakMeter; bytes: number }[] = [];
  try {
    for (const file of files) {
      const meter = new TruePeakMeter(plan.sampleRate, 2);
      open.push({ file, encoder: await openEncoder(plan, file), meter, bytes: 0 });
    }
    const piece = (entry: (typeof open)[number], bytes: Uint8Array<ArrayBuffer>): ExportPiece => {
      entry.bytes += bytes.length;
      return { file: entry.file, bytes };
    };
    for (const entry of open) yield piece(entry, entry.encoder.begin());
    const stream = new TapStream({ ...streamOptions(plan), taps: files.map(({ tap }) => tap) });
    let rested = performance.now();
    for (let at = 0; at < frames; at += CHUNK_FRAMES) {
      const count = Math.min(CHUNK_FRAMES, frames - at);
      const taps = stream.read(count);
      for (const [index, entry] of open.entries()) {
        entry.meter.process(taps[index], 0, count);
        const bytes = entry.encoder.encode(taps[index], 0, count);
        if (bytes.length > 0) yield piece(entry, bytes);
      }
      onProgress?.(Math.min(1, (at + count) / frames));
      if (performance.now() - rested > PAUSE_MS) {
        await pause();
        rested = performance.now();
      }
      signal?.throwIfAborted();
    }
    const patches: { file: PlannedFile; patch: Patch }[] = [];
    for (const entry of open) {
      entry.meter.flush();
      const { bytes, patch } = entry.encoder.end();
      if (bytes.length > 0) yield piece(entry, bytes);
      if (patch) patches.push({ file: entry.file, patch });
    }
    for (const { file, patch } of patches) yield { file, ...patch };
    return open.map(({ file, encoder, meter, bytes }) => ({
      file,
      frames,
      bytes,
      overs: encoder.overs,
      truePeakDbtp: orNull(meter.dbtp),
    }));
  } finally {
    for (const { encoder } of open) encoder.discard();
  }
}

/**
 * The bytes of one file in order, for a target that takes one file after the other, such as a ZIP. Only what the file
 * depends on is rendered.
 */
export async function* fileBytes(
  plan: ExportPlan,
  file: PlannedFile,
  options: Omit<StreamOptions, 'files'> & { readonly onDone?: (written: ExportedFile) => void } = {},
): AsyncGenerator<Uint8Array<ArrayBuffer>, void> {
  const pieces = exportPieces(plan, { ...options, files: [file] });
  for (;;) {
    const { done, value } = await pieces.next();
    if (done) {
      options.onDone?.(value[0]);
      return;
    }
    if (value.at === undefined) yield value.bytes;
  }
}

/** How long a file will be; null where only its end tells (FLAC). @throws AudioFileError where the format can't hold it */
export function fileSize(plan: ExportPlan, file: PlannedFile): number | null {
  return plan.options.format === 'wav' ? new WavEncoder(encoderOptions(plan, file)).totalBytes : null;
}

function streamOptions({ sampleRate, options, a, b, inputs }: ExportPlan) {
  return { sampleRate, factor: options.factor, alignmentDbfs: options.sides.b.alignmentDbfs, a, b, inputs };
}

function openEncoder(plan: ExportPlan, file: PlannedFile): Promise<SoundEncoder> | SoundEncoder {
  const options = encoderOptions(plan, file);
  return plan.options.format === 'wav' ? new WavEncoder(options) : openFlacEncoder(options);
}

function encoderOptions({ sampleRate, frames, options: { bits } }: ExportPlan, { bext }: PlannedFile): EncoderOptions {
  // The same dither in every file, so that where two sides are alike their files are alike.
  const dither = [DITHER_SEED, DITHER_SEED + 1].map((seed) => seededRandom(seed));
  return { channels: 2, sampleRate, frames, bits, dither, bext };
}

function nextTask(): Promise<void> {
  return new Promise((resolve) => {
    setTimeout(resolve, 0);
  });
}
