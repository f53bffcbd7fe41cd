/** An export as a stream of encoded pieces: one pass over the session for any number of files, in constant memory. */
import { seededRandom } from '../dsp/random.ts';
import { TruePeakMeter } from '../dsp/true-peak.ts';
import { orNull } from '../dsp/units.ts';
import type { BroadcastLoudness } from '../files/audio-data.ts';
import { openFlacEncoder } from '../files/flac-encoder.ts';
import { RoundingEncoder } from '../files/rounding-encoder.ts';
import type { EncoderOptions, Patch, SoundEncoder } from '../files/sound-encoder.ts';
import { WavEncoder } from '../files/wav-encoder.ts';
import { rests } from '../render/run-steps.ts';
import { CHUNK_FRAMES, TapStream } from '../render/tap-stream.ts';
import type { ExportPlan } from './export-plan.ts';
import { FileLoudness } from './file-loudness.ts';
import type { PlannedFile } from './planned-files.ts';

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
  /** Largest sample before it was limited or rounded, linear. */
  readonly samplePeak: number;
  /** Of the sound before it was limited or rounded, dBTP; null for silence. */
  readonly truePeakDbtp: number | null;
  /** As the file states it of itself. */
  readonly loudness: BroadcastLoudness;
}

export interface StreamOptions {
  readonly signal?: AbortSignal;
  /** Told the share that is done, 0 to 1. */
  readonly onProgress?: (share: number) => void;
  /** Only these of the plan's files; nothing else is computed. */
  readonly files?: readonly PlannedFile[];
  /** Samples are only rounded and measured: there are no bytes. */
  readonly measureOnly?: boolean;
  /**
   * Loudness of the files where it is known already, by their names: it then stands in them from the first byte. Of the
   * others it comes as a patch.
   */
  readonly loudness?: ReadonlyMap<string, BroadcastLoudness>;
  /** Resolves when the host has had a chance to hear of other things, a cancel for one. */
  readonly pause?: () => Promise<void>;
}

const DITHER_SEED = 1770;

/**
 * Renders and encodes the plan's files, all in one pass, in pieces that come in turns. Returns what was written.
 * @throws AudioFileError where a format can't hold it; the signal's reason where it is aborted
 */
export async function* exportPieces(
  plan: ExportPlan,
  { signal, onProgress, files = plan.files, measureOnly = false, pause, loudness: known }: StreamOptions = {},
): AsyncGenerator<ExportPiece, ExportedFile[]> {
  const { frames } = plan;
  signal?.throwIfAborted();
  const open: Open[] = [];
  try {
    for (const file of files) {
      open.push(await openFile(plan, file, known?.get(file.name), measureOnly));
    }
    const piece = (entry: Open, bytes: Uint8Array<ArrayBuffer>): ExportPiece => {
      entry.bytes += bytes.length;
      return { file: entry.file, bytes };
    };
    for (const entry of open) yield piece(entry, entry.encoder.begin());
    const stream = new TapStream({ ...streamOptions(plan), taps: files.map(({ tap }) => tap) });
    const rest = rests({ pause });
    for (let at = 0; at < frames; at += CHUNK_FRAMES) {
      const count = Math.min(CHUNK_FRAMES, frames - at);
      const taps = stream.read(count);
      for (const [index, entry] of open.entries()) {
        const planes = taps[index].slice(0, entry.file.channels);
        entry.meter?.process(planes, 0, count);
        entry.samplePeak = Math.max(entry.samplePeak, largestOf(planes, count));
        const bytes = entry.encoder.encode(planes, 0, count);
        if (bytes.length > 0) yield piece(entry, bytes);
      }
      onProgress?.(Math.min(1, (at + count) / frames));
      const due = rest();
      if (due) await due;
      signal?.throwIfAborted();
    }
    const patches: { file: PlannedFile; patch: Patch }[] = [];
    const written: ExportedFile[] = [];
    for (const entry of open) {
      const { file, encoder, meter } = entry;
      meter?.flush();
      const loudness = known?.get(file.name) ?? entry.loudness?.result() ?? {};
      const { bytes, patch } = encoder.end(loudness);
      if (bytes.length > 0) yield piece(entry, bytes);
      if (patch) patches.push({ file, patch });
      written.push({
        file,
        frames,
        bytes: entry.bytes,
        overs: encoder.overs,
        samplePeak: entry.samplePeak,
        truePeakDbtp: meter ? orNull(meter.dbtp) : (loudness.truePeak ?? null),
        loudness,
      });
    }
    for (const { file, patch } of patches) yield { file, ...patch };
    return written;
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

export type MeasuredFile = Pick<ExportedFile, 'file' | 'samplePeak' | 'truePeakDbtp' | 'loudness'>;

/**
 * What files would hold, measured in one pass over the session, for a target that can't go back.
 * @param options with `peaksOnly` no loudness is measured, which is quicker
 */
export async function measuredFiles(
  plan: ExportPlan,
  { peaksOnly = false, ...options }: Omit<StreamOptions, 'loudness' | 'measureOnly'> & { peaksOnly?: boolean } = {},
): Promise<MeasuredFile[]> {
  const loudness = peaksOnly ? new Map(plan.files.map(({ name }) => [name, {}])) : undefined;
  const pieces = exportPieces(plan, { ...options, measureOnly: true, loudness });
  for (;;) {
    const { done, value } = await pieces.next();
    if (done) return value;
  }
}

/** How long a file will be; null where only its end tells (FLAC). @throws AudioFileError where the format can't hold it */
export function fileSize(plan: ExportPlan, file: PlannedFile): number | null {
  return plan.options.format === 'wav' ? new WavEncoder(encoderOptions(plan, file)).totalBytes : null;
}

function streamOptions({ sampleRate, options, a, b, inputs }: ExportPlan) {
  return { sampleRate, factor: options.factor, alignmentDbfs: options.sides.b.alignmentDbfs, a, b, inputs };
}

/** A file that is being written. */
interface Open {
  readonly file: PlannedFile;
  readonly encoder: SoundEncoder;
  /** Before it is limited or rounded; null for floats, whose loudness has the same peak. */
  readonly meter: TruePeakMeter | null;
  /** As it is written; null where that is known already. */
  readonly loudness: FileLoudness | null;
  /** Before it is limited or rounded, linear. */
  samplePeak: number;
  bytes: number;
}

async function openFile(
  plan: ExportPlan,
  file: PlannedFile,
  known: BroadcastLoudness | undefined,
  measureOnly: boolean,
): Promise<Open> {
  const { sampleRate, options } = plan;
  const loudness = known ? null : new FileLoudness(sampleRate, file.channels);
  const settings: EncoderOptions = {
    ...encoderOptions(plan, file),
    bext: { ...file.bext, ...(known ? { loudness: known } : {}) },
    ...(loudness ? { onWritten: (planes) => loudness.process(planes) } : {}),
  };
  const encoder = measureOnly
    ? new RoundingEncoder(settings)
    : options.format === 'wav'
      ? new WavEncoder(settings)
      : await openFlacEncoder(settings);
  const meter = options.bits === 'float' && loudness ? null : new TruePeakMeter(sampleRate, file.channels);
  return { file, encoder, meter, loudness, samplePeak: 0, bytes: 0 };
}

function encoderOptions(plan: ExportPlan, { bext, channels }: PlannedFile): EncoderOptions {
  const { sampleRate, frames, options } = plan;
  // The same dither in every file, so that where two sides are alike their files are alike.
  const dither = [DITHER_SEED, DITHER_SEED + 1].map((seed) => seededRandom(seed));
  return { channels, sampleRate, frames, bits: options.bits, dither, bext };
}

function largestOf(planes: readonly Float32Array[], frames: number): number {
  let largest = 0;
  for (const plane of planes) {
    for (let i = 0; i < frames; i++) {
      const size = Math.abs(plane[i]);
      if (size > largest) largest = size;
    }
  }
  return largest;
}
