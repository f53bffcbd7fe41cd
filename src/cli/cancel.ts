import { CliError } from './cli-error.ts';

/** The user stopped it: nothing was written. */
class CancelError extends CliError {
  override readonly name = 'CancelError';
  override readonly exitCode = 130;
}

/** Runs work that Ctrl-C ends in good order: what was begun is taken back, and the process ends with 130. */
export async function cancellable<T>(work: (signal: AbortSignal) => Promise<T>): Promise<T> {
  const controller = new AbortController();
  const stop = () => controller.abort(new CancelError('Cancelled; nothing was written.'));
  process.once('SIGINT', stop);
  process.once('SIGTERM', stop);
  try {
    return await work(controller.signal);
  } finally {
    process.off('SIGINT', stop);
    process.off('SIGTERM', stop);
  }
}
