import { resample } from '../dsp/resample.ts';
import { analysisSides, exportSides } from '../export/export-document.ts';
import type { StageTrims } from '../measure/alignment.ts';
import { SessionAnalysis } from '../measure/session-analysis.ts';
import { runSteps, runToEnd } from '../render/run-steps.ts';
import type { FromWorker, ToWorker } from './analysis-protocol.ts';
import { BenchQueue } from './bench-queue.ts';

/**
 * The analysis worker: takes documents, answers with a provisional match of the moved rack, then everything exactly,
 * then the details of the shown rack. Work is done in short slices; a newer document takes the place of an older one
 * between two of them. Measurements on the tone bench wait while a document is worked on.
 */

/** Work between two looks at the messages, ms. */
const SLICE_MS = 8;

type Request = Extract<ToWorker, { type: 'document' }>;

let analysis: SessionAnalysis | null = null;
let latest: Request | null = null;
let working = false;
/** Called when the work on documents ends. */
const waiting: (() => void)[] = [];

const channel = new MessageChannel();
/** One per message under way. */
const resumes: (() => void)[] = [];
channel.port2.onmessage = () => resumes.shift()?.();

const send = (message: FromWorker, transfer: Transferable[] = []) => {
  (globalThis as unknown as { postMessage(message: FromWorker, transfer: Transferable[]): void }).postMessage(
    message,
    transfer,
  );
};

const bench = new BenchQueue({ send, breathe, idle, now: () => performance.now(), sliceMs: SLICE_MS });

globalThis.addEventListener('message', ({ data }: MessageEvent<ToWorker>) => {
  switch (data.type) {
    case 'configure':
      analysis = new SessionAnalysis(data.sampleRate, data.alignmentDbfs);
      break;
    case 'source':
      analysis?.setSource(data.channelId, data.planes, data.stretch);
      break;
    case 'document':
      latest = data;
      if (!working) void work();
      break;
    case 'resample': {
      const planes = data.planes.map((plane) => resample(plane, data.from, data.to));
      send(
        { type: 'resampled', id: data.id, planes },
        planes.map(({ buffer }) => buffer),
      );
      break;
    }
    case 'alignment':
      void align(data);
      break;
    case 'bench':
      bench.add(data);
      break;
  }
});

/** Works on the newest document until there is no newer one. */
async function work(): Promise<void> {
  working = true;
  while (latest) {
    const request: Request = latest;
    latest = null;
    try {
      await answer(request);
    } catch (fault) {
      send({
        type: 'failed',
        serial: request.serial,
        text: `The figures could not be computed (${fault instanceof Error ? fault.message : String(fault)}). Undo the last step or reload the page.`,
      });
    }
  }
  working = false;
  for (const go of waiting.splice(0)) go();
}

async function answer({ document: whole, moved, selected, serial }: Request): Promise<void> {
  if (!analysis) return;
  // What plays, with side B's racks in place of the document's: scene, scope, macro and mutes are worked in.
  const sides = exportSides(whole);
  const document = sides.b;
  if (moved !== null) {
    const match = await run(analysis.provisional(document, moved));
    if (match) send({ type: 'provisional', serial, rackId: moved, match });
  }
  let told = 0;
  const progress = (share: number) => {
    if (performance.now() - told < 100) return;
    told = performance.now();
    send({ type: 'progress', serial, share });
  };
  const result = await run(
    analysis.analyse(document, progress, analysisSides(sides), (matches) => send({ type: 'matched', serial, matches })),
  );
  if (result === STALE) return;
  send({ type: 'exact', serial, result });
  const details = await run(analysis.details(document, selected));
  if (details !== STALE) send({ type: 'details', serial, rackId: selected, details });
}

/**
 * Trims for several racks. Racks further down are measured with the input they have now: since every rack's output is
 * held at its input's loudness, new trims before them don't move it.
 */
async function align({ id, document, rackIds }: Extract<ToWorker, { type: 'alignment' }>): Promise<void> {
  await idle();
  const trims: Record<string, readonly StageTrims[] | null> = {};
  for (const rackId of rackIds) {
    trims[rackId] = analysis ? runToEnd(analysis.alignment(exportSides(document).b, rackId)) : null;
    await breathe();
  }
  send({ type: 'aligned', id, trims });
}

/** Returned in place of a result when a newer document has come. */
const STALE = undefined;

/** Runs a job in slices; undefined when it was given up for a newer document. */
async function run<T>(job: Generator<void, T>): Promise<T | typeof STALE> {
  const stale = new AbortController();
  const pause = async () => {
    await breathe();
    if (latest) stale.abort();
  };
  return runSteps(job, stale.signal, { stretchMs: SLICE_MS, pause }).catch((fault) => {
    if (stale.signal.aborted) return STALE;
    throw fault;
  });
}

/** Lets waiting messages in; a timer would wait 4 ms each time. */
function breathe(): Promise<void> {
  return new Promise((resolve) => {
    resumes.push(resolve);
    channel.port1.postMessage(null);
  });
}

/** Waits until no document is being worked on. */
async function idle(): Promise<void> {
  while (working) await new Promise<void>((resolve) => waiting.push(resolve));
}
