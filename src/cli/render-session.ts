/** A session to files: both mixes, stems where asked for, and report.json. A single file is a session of one channel. */

import { blockEnergies, gatedLoudness } from '../dsp/loudness.ts';
import { measure } from '../dsp/measure.ts';
import { orNull } from '../dsp/units.ts';
import { planExport } from '../export/export-plan.ts';
import type { ExportedFile } from '../export/export-stream.ts';
import { matchSession } from '../export/match-session.ts';
import { writeExport } from '../export/run-export.ts';
import { AudioFileError } from '../files/audio-file-error.ts';
import { CliError } from './cli-error.ts';
import { figuresOf } from './file-figures.ts';
import type { Progress } from './progress.ts';
import { readSound } from './read-sound.ts';
import type { RenderJob } from './render-job.ts';
import type { RenderedMix, Report } from './render-report.ts';
import { makeReport } from './render-report.ts';
import type { RenderSettings } from './render-settings.ts';
import { renderWarnings } from './render-settings.ts';
import { version } from './version.ts';
import { OutputFolder } from './write-output.ts';

/** @throws CliError, and the signal's reason where it is cancelled; in either case nothing is left of it */
export async function renderSessionInto(
  out: string,
  job: RenderJob,
  input: string,
  settings: RenderSettings,
  { signal, progress }: { readonly signal?: AbortSignal; readonly progress?: Progress } = {},
): Promise<Report> {
  const { factor, format, bits, overs, stems, fader, tail } = settings;
  const match = await matchSession(job, {
    factor,
    figures: true,
    signal,
    onProgress: (share) => progress?.show('Matching', share),
  });
  const document = match.sides.b;
  const planned = planExport({
    sides: match.sides,
    sources: job.sources,
    factor,
    format,
    bits,
    overs,
    stems,
    fader,
    mixChannels: job.channels,
    tail,
    bext: job.extensions,
    program: `Level Best ${version}`,
    // A file by itself is rendered to the same bytes at every run, so it states no date of its own.
    ...(job.kind === 'file' ? {} : { now: new Date() }),
  });
  const folder = new OutputFolder(out, [...planned.files.map(({ name }) => name), 'report.json'], job.read);
  try {
    const { plan, files: written } = await writeExport(
      planned,
      {
        open({ name }) {
          const file = folder.open(name);
          return { write: file.write, close: file.close, abort: file.close };
        },
      },
      {
        signal,
        onProgress: (share) => progress?.show('Rendering', share),
        onLowering: (share) => progress?.show('Lowering both mixes', share),
      },
    );
    const sides: { side: RenderedMix; regionLufs: number | null }[] = [];
    for (const kind of ['clean', 'coloured'] as const) {
      const entry = written.find(({ file }) => file.kind === kind) as ExportedFile;
      const { channels } = (await readSound(folder.pathOf(entry.file.name))).audio;
      sides.push({
        side: { file: entry.file.name, overs: entry.overs, ...figuresOf(measure(channels, plan.sampleRate)) },
        regionLufs: regionLoudness(channels, match.region, plan.sampleRate),
      });
    }
    const [clean, coloured] = sides;
    const report = makeReport({
      job,
      render: { ...match, document, frames: plan.frames, tailFrames: plan.tailFrames },
      input,
      bits,
      factor,
      format,
      residualLu:
        clean.regionLufs === null || coloured.regionLufs === null ? null : coloured.regionLufs - clean.regionLufs,
      clean: clean.side,
      coloured: coloured.side,
      headroomDb: plan.headroomDb,
      stems: written.flatMap(({ file, overs }) =>
        file.kind === 'channel' || file.kind === 'bus'
          ? [
              {
                file: file.name,
                kind: file.kind,
                id: file.rackId,
                name: file.title,
                overs,
                fader,
                channels: file.channels,
              },
            ]
          : [],
      ),
      warnings: [
        ...renderWarnings(
          job,
          document,
          written.map(({ file, overs }) => ({ file: file.name, overs })),
          bits,
        ),
        ...plan.warnings,
      ],
    });
    folder.write('report.json', `${JSON.stringify(report, null, 2)}\n`);
    folder.complete();
    return report;
  } catch (error) {
    folder.abandon();
    if (error instanceof AudioFileError) throw new CliError(`${input}: ${error.message}`);
    throw error;
  } finally {
    progress?.end();
  }
}

/** BS.1770-5 loudness over some frames. */
function regionLoudness(
  channels: readonly Float32Array[],
  [from, to]: readonly [number, number],
  sampleRate: number,
): number | null {
  const inRegion = channels.map((plane) => plane.subarray(from, to));
  return orNull(gatedLoudness(blockEnergies(inRegion, sampleRate)));
}
