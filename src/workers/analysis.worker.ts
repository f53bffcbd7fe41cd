import { resampleSteps } from '../dsp/resample.ts';
import { analysisSides, exportSides } from '../export/export-document.ts';
import type { StageTrims } from '../measure/alignment.ts';
import type { RackDetails } from '../measure/figures.ts';
import { kindFigure } from '../measure/kind-figure.ts';
import { SessionAnalysis } from '../measure/session-analysis.ts';
import { BenchError, ToneBench } from '../measure/tone-bench/tone-bench.ts';
import { runSteps } from '../render/run-steps.ts';
import type { AlignmentTrims, AnalysisProtocol } from './analysis-protocol.ts';
import type { Task } from './serve.ts';
import { Handed, serve } from './serve.ts';
import { Turns } from './turns.ts';

/**
 * The analysis worker: answers a document with a provisional match of the moved rack, then everything exactly, then the
 * details of the shown rack. Work is done in short slices, between which it is given up for a newer request.
 * Measurements on the tone bench wait while a document is worked on.
 */

type Asks = AnalysisProtocol['asks'];

/** Work between two looks at the messages, ms. */
const SLICE_MS = 8;
/** The same where somebody waits for a file. */
const LONG_SLICE_MS = 80;
/** Least time between two reports of progress, ms. */
const TELL_MS = 100;

const FAULTS: Readonly<Record<keyof Asks, (reason: string) => string>> = {
  figures: (reason) => `The figures could not be computed (${reason}). Undo the last step or reload the page.`,
  resample: (reason) =>
    `It could not be brought to the session's rate (${reason}). Close other tabs, or use shorter files.`,
  alignment: (reason) => `The alignment could not be computed (${reason}). Undo the last step or reload the page.`,
  profile: (reason) => `The rack could not be measured (${reason}). Undo the last step or reload the page.`,
  kind: (reason) => `The stage could not be measured (${reason}). Reload the page.`,
  bench: (reason) => `The bench could not measure this (${reason}). Undo the last step or reload the page.`,
};

let analysis: SessionAnalysis | null = null;
const bench = new ToneBench();
const session = new Turns();
const measurements = new Turns();

const channel = new MessageChannel();
/** One per message under way. */
const resumes: (() => void)[] = [];
channel.port2.onmessage = () => resumes.shift()?.();

const say = serve<AnalysisProtocol>({
  asks: {
    figures: (ask, task) => session.take(() => figures(ask, task)),
    alignment: (ask, task) => session.take(() => alignment(ask, task)),
    profile: ({ document, rackId, stages }, { signal }) =>
      measured(signal, () => {
        if (!analysis) throw new Error('there is no session yet');
        return analysis.profile(exportSides(document).b, rackId, stages);
      }),
    kind: ({ kindId, sampleRate, operatingDbfs }, { signal }) =>
      measured(signal, () => kindFigure(bench, kindId, sampleRate, operatingDbfs)),
    bench: (spec, { signal }) => measured(signal, () => bench.run(spec)),
    resample: async ({ planes, from, to }, { signal }) => {
      const resampled: Float32Array<ArrayBuffer>[] = [];
      for (const plane of planes) {
        const steps = resampleSteps(plane, from, to);
        resampled.push(await runSteps(steps, signal, { stretchMs: LONG_SLICE_MS, pause: breathe }));
      }
      return new Handed(
        resampled,
        resampled.map(({ buffer }) => buffer),
      );
    },
  },
  notes: {
    configure: ({ sampleRate, alignmentDbfs }) => {
      analysis = new SessionAnalysis(sampleRate, alignmentDbfs);
    },
    source: ({ channelId, planes, stretch }) => analysis?.setSource(channelId, planes, stretch),
  },
  faultText: (fault, name) => {
    const reason = fault instanceof Error ? fault.message : String(fault);
    return fault instanceof BenchError ? reason : FAULTS[name](reason);
  },
});

async function figures(
  { document: whole, moved, selected }: Asks['figures']['ask'],
  { tell, signal }: Task<Asks['figures']['told']>,
): Promise<RackDetails | null> {
  signal.throwIfAborted();
  if (!analysis) return null;
  // What plays, with side B's racks in place of the document's: scene, scope, all drives and mutes are worked in.
  const sides = exportSides(whole);
  const document = sides.b;
  if (moved !== null) {
    const match = await run(analysis.provisional(document, moved), signal);
    if (match) say('provisional', { rackId: moved, match });
  }
  let told = 0;
  const progress = (share: number) => {
    if (performance.now() - told < TELL_MS) return;
    told = performance.now();
    tell({ share });
  };
  const result = await run(
    analysis.analyse(document, progress, analysisSides(sides), (matches) => tell({ matches })),
    signal,
  );
  tell({ result });
  return run(analysis.details(document, selected), signal);
}

/**
 * Trims for several racks. Racks further down are measured with the input they have now: since every rack's output is
 * held at its input's loudness, new trims before them don't move it.
 */
async function alignment(
  { document, rackIds }: Asks['alignment']['ask'],
  { signal }: Task<never>,
): Promise<AlignmentTrims> {
  const trims: Record<string, readonly StageTrims[] | null> = {};
  for (const rackId of rackIds) {
    trims[rackId] = analysis ? await run(analysis.alignment(exportSides(document).b, rackId), signal) : null;
  }
  return trims;
}

/** What isn't of the session's figures comes in turn, and rests while those are worked on. */
function measured<T>(signal: AbortSignal, begin: () => Generator<void, T>): Promise<T> {
  return measurements.take(async () => {
    await rest();
    return runSteps(begin(), signal, { stretchMs: SLICE_MS, pause: rest });
  });
}

function run<T>(job: Generator<void, T>, signal: AbortSignal): Promise<T> {
  return runSteps(job, signal, { stretchMs: SLICE_MS, pause: breathe });
}

/** Lets waiting messages in; a timer would wait 4 ms each time. */
function breathe(): Promise<void> {
  return new Promise((resolve) => {
    resumes.push(resolve);
    channel.port1.postMessage(null);
  });
}

/** The same, for what waits until no document is worked on. */
async function rest(): Promise<void> {
  await breathe();
  await session.idle();
}
