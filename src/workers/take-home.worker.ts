import type { Planes } from '../render/rack-renderer.ts';
import type { Task } from './serve.ts';
import { serve } from './serve.ts';
import { ByteSender } from './take-home/byte-sender.ts';
import { checkJob } from './take-home/check-job.ts';
import { exportJob } from './take-home/export-job.ts';
import { faultText } from './take-home/fault-text.ts';
import type { TakeHomeProgress, TakeHomeProtocol } from './take-home/protocol.ts';
import { reportJob } from './take-home/report-job.ts';

/**
 * The take-home worker: renders a session's files, describes it, or compares it with a mixdown, beside the analysis so
 * that this stays quick. It does one job and is ended then, which gives all its memory back; a cancel ends it too.
 */

/** Least time between two reports of progress, ms. */
const TELL_MS = 60;

const sources = new Map<string, Planes>();
let sender: ByteSender | null = null;

serve<TakeHomeProtocol>({
  asks: {
    export: (job, task) => {
      const bytes = new ByteSender(task.tell);
      sender = bytes;
      return exportJob(job, { ...hostOf(task), bytes });
    },
    report: (job, task) => reportJob(job, hostOf(task)),
    check: (job, task) => checkJob(job, hostOf(task)),
  },
  notes: {
    source: ({ channelId, planes }) => void sources.set(channelId, planes),
    taken: () => sender?.taken(),
  },
  faultText,
});

function hostOf({ tell }: Pick<Task<TakeHomeProgress>, 'tell'>) {
  let told = { step: '', at: 0 };
  return {
    sources,
    progress: (step: TakeHomeProgress['step'], share: number | null) => {
      const now = performance.now();
      if (step === told.step && now - told.at < TELL_MS) return;
      told = { step, at: now };
      tell({ step, share });
    },
  };
}
