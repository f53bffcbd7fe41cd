import type { Planes } from '../render/rack-renderer.ts';
import { ByteSender } from './take-home/byte-sender.ts';
import { checkJob } from './take-home/check-job.ts';
import { exportJob } from './take-home/export-job.ts';
import { faultText } from './take-home/fault-text.ts';
import type { FromTakeHome, TakeHomeJob, ToTakeHome } from './take-home/protocol.ts';
import { reportJob } from './take-home/report-job.ts';
import type { TakeHomeHost } from './take-home/take-home-host.ts';

/**
 * The take-home worker: renders a session's files, describes it, or compares it with a mixdown, beside the analysis so
 * that this stays quick. It does one job and is ended then, which gives all its memory back; a cancel ends it too.
 */

/** Least time between two reports of progress, ms. */
const TELL_MS = 60;

const send = (message: FromTakeHome, transfer: Transferable[] = []) => {
  (globalThis as unknown as { postMessage(message: FromTakeHome, transfer: Transferable[]): void }).postMessage(
    message,
    transfer,
  );
};

const sources = new Map<string, Planes>();
const bytes = new ByteSender(send);
let told = { step: '', at: 0 };

const host: TakeHomeHost = {
  sources,
  bytes,
  progress(step, share) {
    const now = performance.now();
    if (step === told.step && now - told.at < TELL_MS) return;
    told = { step, at: now };
    send({ type: 'progress', step, share });
  },
};

globalThis.addEventListener('message', ({ data }: MessageEvent<ToTakeHome>) => {
  if (data.type === 'source') sources.set(data.channelId, data.planes);
  else if (data.type === 'taken') bytes.taken();
  else void run(data);
});

async function run(job: TakeHomeJob): Promise<void> {
  try {
    if (job.type === 'export') send({ type: 'exported', outcome: await exportJob(job, host) });
    else if (job.type === 'report') send({ type: 'reported', texts: await reportJob(job, host) });
    else send({ type: 'checked', check: await checkJob(job, host) });
  } catch (fault) {
    send({ type: 'failed', text: faultText(fault) });
  }
}
