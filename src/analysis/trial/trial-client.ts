import TrialWorker from './trial.worker.ts?worker';
import { TrialError } from './trial-error.ts';
import type { FromTrialWorker, ToTrialWorker } from './trial-protocol.ts';
import type { TrialRequest, TrialSounds } from './trial-sounds.ts';

/**
 * Has the sounds of a trial rendered, in a worker that lives no longer than that: once it has answered it learns nothing
 * more, least of all which sound is played when.
 * @param onProgress told the share that is done, 0 to 1
 * @throws TrialError with a sentence for the user; the signal's reason where it is aborted
 */
export function renderTrialSounds(
  request: TrialRequest,
  onProgress: (share: number) => void,
  signal: AbortSignal,
): Promise<TrialSounds> {
  const worker = new TrialWorker();
  const answer = new Promise<TrialSounds>((resolve, reject) => {
    worker.addEventListener('message', ({ data }: MessageEvent<FromTrialWorker>) => {
      if (data.type === 'progress') onProgress(data.share);
      else if (data.type === 'sounds') resolve(data.sounds);
      else reject(new TrialError(data.text));
    });
    worker.addEventListener('error', () =>
      reject(new TrialError('The sounds could not be made. Reload the page; the session is kept.')),
    );
    signal.addEventListener('abort', () => reject(signal.reason));
  });
  const message: ToTrialWorker = { type: 'render', request };
  worker.postMessage(message);
  return answer.finally(() => worker.terminate());
}
