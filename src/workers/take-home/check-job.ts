import { resampleSteps } from '../../dsp/resample.ts';
import { cleanMix } from '../../export/clean-mix.ts';
import { exportSides } from '../../export/export-document.ts';
import { sessionStems } from '../../export/session-stems.ts';
import type { ImportCheck } from '../../measure/compare/import-check.ts';
import { importCheck } from '../../measure/compare/import-check.ts';
import { runSteps } from '../../render/run-steps.ts';
import { sessionFrames } from '../../render/session-render.ts';
import { CHUNK_FRAMES } from '../../render/tap-stream.ts';
import type { CheckJob } from './protocol.ts';
import type { TakeHomeHost } from './take-home-host.ts';

/** The clean mix is about this share of the work. */
const MIX_SHARE = 0.3;

/** Compares the clean mix, and every stem, with the engineer's own mixdown, which is brought to the session's rate. */
export async function checkJob(
  { document, mixdown, mixdownRate }: CheckJob,
  { sources, progress }: TakeHomeHost,
): Promise<ImportCheck> {
  const { sampleRate } = document;
  const chunks = Math.ceil(sessionFrames(exportSides(document).b, sources) / CHUNK_FRAMES);
  const clean = await runSteps(cleanMix(document, sources), undefined, {
    onStep: (count) => progress('clean-mix', (MIX_SHARE * count) / Math.max(1, chunks)),
  });
  // How many steps a comparison takes depends on what is found, so its share isn't known.
  progress('comparing', null);
  const planes: Float32Array[] = [];
  for (const plane of mixdown) planes.push(await runSteps(resampleSteps(plane, mixdownRate, sampleRate)));
  const session = { cleanMix: clean, stems: sessionStems(document, sources) };
  return runSteps(importCheck(session, { planes, sampleRate: mixdownRate, original: mixdown }, sampleRate));
}
