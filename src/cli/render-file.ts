/** One sound file through one rack: both sides and report.json, as long as the input. */

import { truePeak } from '../dsp/true-peak.ts';
import { dbToGain } from '../dsp/units.ts';
import type { ExportBits, ExportOvers } from '../export/export-plan.ts';
import { commonHeadroomDb } from '../measure/common-headroom.ts';
import { scaled } from '../render/planes.ts';
import type { RenderedSides } from '../render/session-render.ts';
import type { Stage } from '../session/document.ts';
import type { Progress } from './progress.ts';
import type { RenderJob } from './render-job.ts';
import { fileJob } from './render-job.ts';
import { matchAndRender } from './render-match.ts';
import type { Report } from './render-report.ts';
import { makeReport } from './render-report.ts';
import type { RenderSettings } from './render-settings.ts';
import { renderWarnings } from './render-settings.ts';
import { writeSide } from './render-side.ts';
import { withAlignment } from './with-alignment.ts';
import { OutputFolder } from './write-output.ts';

export interface FileRender {
  readonly out: string;
  readonly input: string;
  readonly stages: readonly Stage[];
  readonly alignmentDbfs: number | undefined;
  /** The over-sampling that was asked for, if any. */
  readonly factor: 4 | 8 | undefined;
  readonly settings: Omit<RenderSettings, 'factor' | 'stems' | 'tail'>;
}

/** @throws CliError; then nothing is left of it */
export async function renderFile(
  { out, input, stages, alignmentDbfs, factor, settings }: FileRender,
  progress?: Progress,
): Promise<Report> {
  const job = withAlignment(await fileJob(input, [...stages]), alignmentDbfs);
  try {
    return await renderInto(
      out,
      job,
      input,
      { ...settings, factor: factor ?? job.document.exportOversampling },
      progress,
    );
  } finally {
    progress?.end();
  }
}

async function renderInto(
  out: string,
  job: RenderJob,
  input: string,
  { format, bits, overs, factor }: Omit<RenderSettings, 'stems' | 'tail'>,
  progress: Progress | undefined,
): Promise<Report> {
  const names = ['clean', 'coloured'] as const;
  const folder = new OutputFolder(out, [...names.map((name) => `${name}.${format}`), 'report.json'], job.read);
  try {
    const render = matchAndRender(job, factor, (share) => progress?.show('Rendering', share));
    const { document, region } = render;
    const { sides, headroomDb } = loweredSides(render.sides, document.sampleRate, bits, overs);
    const { sampleRate } = document;
    const written = [];
    for (const name of names) {
      const words = bits === '32f' ? 'W=32' : `W=${bits}`;
      const history = `A=PCM,F=${sampleRate},${words},M=${job.channels === 1 ? 'mono' : 'stereo'},T=Level Best ${name}`;
      const file = `${name}.${format}`;
      const planes = sides[name].slice(0, job.channels);
      const one = await writeSide(planes, { file, format, bits, sampleRate, region, bext: job.bext, history });
      folder.write(file, one.bytes);
      written.push({ side: one.side, regionLufs: one.regionLufs });
    }
    const [clean, coloured] = written;
    const report = makeReport({
      job,
      render: { ...render, frames: sides.clean[0].length, tailFrames: 0 },
      input,
      bits,
      factor,
      format,
      residualLu:
        clean.regionLufs === null || coloured.regionLufs === null ? null : coloured.regionLufs - clean.regionLufs,
      clean: clean.side,
      coloured: coloured.side,
      headroomDb,
      stems: [],
      warnings: renderWarnings(job, document, [clean.side, coloured.side], bits),
    });
    folder.write('report.json', `${JSON.stringify(report, null, 2)}\n`);
    folder.complete();
    return report;
  } catch (error) {
    folder.abandon();
    throw error;
  }
}

/** Both sides lowered together where one would be limited by whole numbers; see `pairHeadroomDb`. */
function loweredSides(
  sides: RenderedSides,
  sampleRate: number,
  bits: ExportBits,
  overs: ExportOvers,
): { sides: RenderedSides; headroomDb: number } {
  const both = [...sides.clean, ...sides.coloured];
  if (bits === '32f' || overs === 'limit' || both.every((plane) => plane.every((x) => Math.abs(x) <= 1))) {
    return { sides, headroomDb: 0 };
  }
  const headroomDb = commonHeadroomDb([truePeak(both, sampleRate).dbtp]);
  const lower = (planes: readonly Float32Array[]) => scaled(planes, dbToGain(headroomDb));
  return { sides: { clean: lower(sides.clean), coloured: lower(sides.coloured) }, headroomDb };
}
