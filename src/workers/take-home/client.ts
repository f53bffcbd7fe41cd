/** The take-home worker as the page sees it: one worker for each job, which ends with it. */

import { exportSides } from '../../export/export-document.ts';
import type { ImportCheck } from '../../measure/compare/import-check.ts';
import type { Planes } from '../../render/rack-renderer.ts';
import { nextTask } from '../../render/run-steps.ts';
import type { SessionDocument } from '../../session/document.ts';
import { WorkerChannel, WorkerFault } from '../channel.ts';
import TakeHomeWorker from '../take-home.worker.ts?worker';
import { faultText } from './fault-text.ts';
import type {
  CheckJob,
  ExportJob,
  ExportOutcome,
  ReportJob,
  ReportTexts,
  TakeHomePiece,
  TakeHomeProgress,
  TakeHomeProtocol,
  TakeHomeStep,
} from './protocol.ts';

export interface JobOptions {
  /** Each channel's sound at the session's rate, by its id. */
  readonly sources: ReadonlyMap<string, Planes>;
  readonly signal: AbortSignal;
  /** Told the share of the whole, 0 to 1; null where it isn't known. */
  readonly onProgress: (step: TakeHomeStep, share: number | null) => void;
}

type Channel = WorkerChannel<TakeHomeProtocol>;

const STOPPED = 'The export worker stopped, most likely for want of memory. Close other tabs and try again.';

/** An hour of sound is compared in pieces of a minute or two, and everything here can be cancelled. */
const SILENT_LOOKS = 600;

/**
 * The bytes of an export, piece by piece; asking for the next one lets the worker go on.
 * @throws WorkerFault, or the signal's reason where it is aborted
 */
export async function* exportedPieces(
  job: ExportJob,
  options: JobOptions,
): AsyncGenerator<TakeHomePiece, ExportOutcome> {
  const left = new AbortController();
  const signal = AbortSignal.any([options.signal, left.signal]);
  let pieces!: ReadableStreamDefaultController<TakeHomePiece>;
  const reader = new ReadableStream<TakeHomePiece>({ start: (waiting) => void (pieces = waiting) }).getReader();
  let taken = () => {};
  const outcome = inWorker(exportSides(job.document).b, { ...options, signal }, (channel, onProgress) => {
    taken = () => channel.note('taken', null);
    const onTold = (told: TakeHomeProgress | TakeHomePiece) =>
      'step' in told ? onProgress(told) : pieces.enqueue(told);
    return channel.ask('export', job, { signal, onTold });
  });
  // A fault takes the place of what still waits.
  outcome.then(
    () => pieces.close(),
    (fault) => pieces.error(fault),
  );
  try {
    for (;;) {
      const { done, value } = await reader.read();
      if (done) return await outcome;
      yield value;
      taken();
    }
  } finally {
    left.abort();
  }
}

/** Null where there is no sound in the match region. @throws as `exportedPieces` */
export function madeReport(job: ReportJob, options: JobOptions): Promise<ReportTexts | null> {
  const { signal } = options;
  return inWorker(exportSides(job.document).b, options, (channel, onTold) =>
    channel.ask('report', job, { signal, onTold }),
  );
}

/** The mixdown's planes are handed over and are empty afterwards. @throws as `exportedPieces` */
export function checkedImport(job: CheckJob, options: JobOptions): Promise<ImportCheck> {
  const { signal } = options;
  const transfer = [...new Set(job.mixdown.map(({ buffer }) => buffer))];
  // A check looks for muted channels too: they may sound in the mixdown.
  return inWorker(job.document, options, (channel, onTold) => channel.ask('check', job, { signal, onTold, transfer }));
}

/** Does one job in a worker of its own, which has the sound of these channels and ends with the job. */
async function inWorker<T>(
  { channels }: Pick<SessionDocument, 'channels'>,
  { sources, signal, onProgress }: JobOptions,
  work: (channel: Channel, onTold: (told: TakeHomeProgress) => void) => Promise<T>,
): Promise<T> {
  signal.throwIfAborted();
  const channel: Channel = new WorkerChannel(() => new TakeHomeWorker(), {
    stopped: STOPPED,
    silentLooks: SILENT_LOOKS,
  });
  try {
    onProgress('gathering', null);
    for (const { id } of channels) {
      const planes = sources.get(id);
      if (planes) sendCopy(id, planes, channel);
      // Copying a long session takes seconds; the page stays quick and a cancel can come.
      await nextTask();
      signal.throwIfAborted();
    }
    return await work(channel, ({ step, share }) => onProgress(step, share));
  } finally {
    channel.end();
  }
}

/**
 * One copy and no more: the page plays from its own planes, and a message that isn't handed over would be copied twice.
 * @throws WorkerFault where memory doesn't hold it
 */
function sendCopy(channelId: string, planes: Planes, channel: Channel): void {
  let copies: Float32Array<ArrayBuffer>[];
  try {
    copies = planes.map((plane) => new Float32Array(plane));
  } catch (fault) {
    throw new WorkerFault(faultText(fault));
  }
  channel.note(
    'source',
    { channelId, planes: copies },
    copies.map(({ buffer }) => buffer),
  );
}
