/** One sound file through one rack: a session of one channel, as long as the file. */
import type { Stage } from '../session/document.ts';
import type { Progress } from './progress.ts';
import { fileJob, withAlignment } from './render-job.ts';
import type { Report } from './render-report.ts';
import { renderSessionInto } from './render-session.ts';
import type { RenderSettings } from './render-settings.ts';

export interface FileRender {
  readonly out: string;
  readonly input: string;
  readonly stages: readonly Stage[];
  readonly alignmentDbfs: number | undefined;
  /** The over-sampling that was asked for, if any. */
  readonly factor: 4 | 8 | undefined;
  readonly settings: Pick<RenderSettings, 'bits' | 'format' | 'overs'>;
}

/** @throws CliError; then nothing is left of it */
export async function renderFile(
  { out, input, stages, alignmentDbfs, factor, settings }: FileRender,
  progress?: Progress,
): Promise<Report> {
  const job = withAlignment(await fileJob(input, [...stages]), alignmentDbfs);
  const { exportOversampling } = job.document;
  const whole = {
    ...settings,
    factor: factor ?? exportOversampling,
    stems: false,
    fader: 'before',
    tail: false,
  } as const;
  return renderSessionInto(out, job, input, whole, { progress });
}
