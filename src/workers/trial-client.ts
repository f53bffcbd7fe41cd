import { TrialError } from '../measure/trial/trial-error.ts';
import type { RenderedPart, TrialRequest, TrialSounds } from '../measure/trial/trial-set.ts';
import { soundCount, together } from '../measure/trial/trial-set.ts';
import TrialWorker from './trial.worker.ts?worker';
import type { FromTrialWorker, ToTrialWorker } from './trial-protocol.ts';

/** More of them would each repeat what all sounds have in common. */
const MOST_WORKERS = 4;

/**
 * Has the sounds of a trial rendered, in workers that live no longer than that: once they have answered they learn
 * nothing more, least of all which sound is played when.
 * @param onProgress told the share that is done, 0 to 1
 * @throws TrialError with a sentence for the user; the signal's reason where it is aborted
 */
export async function renderTrialSounds(
  request: TrialRequest,
  onProgress: (share: number) => void,
  signal: AbortSignal,
): Promise<TrialSounds> {
  // The page itself has nothing to do meanwhile.
  const of = Math.max(1, Math.min(MOST_WORKERS, navigator.hardwareConcurrency, Math.floor(soundCount(request) / 2)));
  const done = new Array<number>(of).fill(0);
  // The first that fails ends the others.
  const end = new AbortController();
  try {
    const parts = done.map((_, index) =>
      renderPart(
        { type: 'render', request, part: { index, of } },
        (share) => {
          done[index] = share;
          onProgress(done.reduce((sum, one) => sum + one, 0) / of);
        },
        AbortSignal.any([signal, end.signal]),
      ),
    );
    return together(request, await Promise.all(parts));
  } finally {
    end.abort();
  }
}

function renderPart(
  message: ToTrialWorker,
  onProgress: (share: number) => void,
  signal: AbortSignal,
): Promise<RenderedPart> {
  const worker = new TrialWorker();
  const answer = new Promise<RenderedPart>((resolve, reject) => {
    worker.addEventListener('message', ({ data }: MessageEvent<FromTrialWorker>) => {
      if (data.type === 'progress') onProgress(data.share);
      else if (data.type === 'rendered') resolve(data.rendered);
      else reject(new TrialError(data.text));
    });
    worker.addEventListener('error', () =>
      reject(new TrialError('The sounds could not be made. Reload the page; the session is kept.')),
    );
    signal.addEventListener('abort', () => reject(signal.reason));
  });
  worker.postMessage(message);
  return answer.finally(() => worker.terminate());
}
