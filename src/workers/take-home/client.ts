/** The take-home worker as the page sees it: one worker for each job, which ends with it. */

import { exportSides } from '../../export/export-document.ts';
import type { ImportCheck } from '../../measure/compare/import-check.ts';
import type { Planes } from '../../render/rack-renderer.ts';
import TakeHomeWorker from '../take-home.worker.ts?worker';
import { faultText } from './fault-text.ts';
import { Inbox } from './inbox.ts';
import type {
  CheckJob,
  ExportJob,
  ExportOutcome,
  FromTakeHome,
  ReportJob,
  ReportTexts,
  TakeHomeJob,
  TakeHomePiece,
  TakeHomeStep,
  ToTakeHome,
} from './protocol.ts';

export interface JobOptions {
  /** Each channel's sound at the session's rate, by its id. */
  readonly sources: ReadonlyMap<string, Planes>;
  readonly signal: AbortSignal;
  /** Told the share of the whole, 0 to 1; null where it isn't known. */
  readonly onProgress: (step: TakeHomeStep, share: number | null) => void;
}

/** A fault whose message is a sentence for the user. */
export class TakeHomeError extends Error {}

const STOPPED = 'The export worker stopped, most likely for want of memory. Close other tabs and try again.';

/**
 * The bytes of an export, piece by piece; asking for the next one lets the worker go on.
 * @throws TakeHomeError, or the signal's reason where it is aborted
 */
export async function* exportedPieces(
  job: ExportJob,
  options: JobOptions,
): AsyncGenerator<TakeHomePiece, ExportOutcome> {
  const answers = answersTo(job, options);
  try {
    for (;;) {
      const { value } = await answers.next();
      if (value?.type === 'piece') yield value;
      else if (value?.type === 'exported') return value.outcome;
    }
  } finally {
    await answers.return();
  }
}

/** Null where there is no sound in the match region. @throws as `exportedPieces` */
export async function madeReport(job: ReportJob, options: JobOptions): Promise<ReportTexts | null> {
  for await (const answer of answersTo(job, options)) if (answer.type === 'reported') return answer.texts;
  throw new TakeHomeError(STOPPED);
}

/** The mixdown's planes are handed over and are empty afterwards. @throws as `exportedPieces` */
export async function checkedImport(job: CheckJob, options: JobOptions): Promise<ImportCheck> {
  for await (const answer of answersTo(job, options)) if (answer.type === 'checked') return answer.check;
  throw new TakeHomeError(STOPPED);
}

/** What the worker answers to a job, but for its progress. The worker ends with the generator. */
async function* answersTo(
  job: TakeHomeJob,
  { sources, signal, onProgress }: JobOptions,
): AsyncGenerator<FromTakeHome, void> {
  signal.throwIfAborted();
  const inbox = new Inbox<FromTakeHome>();
  const worker = new TakeHomeWorker();
  const send = (message: ToTakeHome, transfer: Transferable[] = []) => worker.postMessage(message, transfer);
  const onAbort = () => {
    // At once, even while nobody asks for the next answer: a worker holds a copy of the whole session.
    worker.terminate();
    inbox.fail(signal.reason);
  };
  signal.addEventListener('abort', onAbort);
  worker.addEventListener('message', ({ data }: MessageEvent<FromTakeHome>) => inbox.put(data));
  worker.addEventListener('error', () => inbox.fail(new TakeHomeError(STOPPED)));
  worker.addEventListener('messageerror', () => inbox.fail(new TakeHomeError(STOPPED)));
  try {
    onProgress('gathering', null);
    // A check looks for muted channels too: they may sound in the mixdown.
    const { channels } = job.type === 'check' ? job.document : exportSides(job.document).b;
    for (const { id } of channels) {
      const planes = sources.get(id);
      if (planes) sendCopy(id, planes, send);
      // Copying a long session takes seconds; the page stays quick and a cancel can come.
      await nextTask();
      signal.throwIfAborted();
    }
    send(job, job.type === 'check' ? [...new Set(job.mixdown.map(({ buffer }) => buffer as ArrayBuffer))] : []);
    for (;;) {
      const answer = await inbox.next();
      if (answer.type === 'failed') throw new TakeHomeError(answer.text);
      if (answer.type === 'progress') onProgress(answer.step, answer.share);
      else yield answer;
      if (answer.type === 'piece') send({ type: 'taken' });
    }
  } finally {
    worker.terminate();
    signal.removeEventListener('abort', onAbort);
  }
}

/**
 * One copy and no more: the page plays from its own planes, and a message that isn't handed over would be copied twice.
 * @throws TakeHomeError where memory doesn't hold it
 */
function sendCopy(
  channelId: string,
  planes: Planes,
  send: (message: ToTakeHome, transfer: Transferable[]) => void,
): void {
  let copies: Float32Array<ArrayBuffer>[];
  try {
    copies = planes.map((plane) => new Float32Array(plane));
  } catch (fault) {
    throw new TakeHomeError(faultText(fault));
  }
  send(
    { type: 'source', channelId, planes: copies },
    copies.map(({ buffer }) => buffer),
  );
}

function nextTask(): Promise<void> {
  return new Promise((resolve) => {
    setTimeout(resolve, 0);
  });
}
