import type { RenderedPart, RenderedSounds, TrialPart, TrialRequest } from '../measure/trial/trial-set.ts';
import { soundCount, TrialError, together } from '../measure/trial/trial-set.ts';
import { WorkerChannel, WorkerFault } from './channel.ts';
import TrialWorker from './trial.worker.ts?worker';
import type { TrialProtocol } from './trial-protocol.ts';

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
): Promise<RenderedSounds> {
  // The page itself has nothing to do meanwhile.
  const of = Math.max(1, Math.min(MOST_WORKERS, navigator.hardwareConcurrency, Math.floor(soundCount(request) / 2)));
  const done = new Array<number>(of).fill(0);
  // The first that fails ends the others.
  const end = new AbortController();
  try {
    const parts = done.map((_, index) =>
      renderPart(
        request,
        { index, of },
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

async function renderPart(
  request: TrialRequest,
  part: TrialPart,
  onTold: (share: number) => void,
  signal: AbortSignal,
): Promise<RenderedPart> {
  const channel = new WorkerChannel<TrialProtocol>(() => new TrialWorker(), {
    stopped: 'The sounds could not be made. Reload the page; the session is kept.',
    restore: () => undefined,
  });
  try {
    return await channel.ask('render', { request, part }, { signal, onTold });
  } catch (fault) {
    throw fault instanceof WorkerFault ? new TrialError(fault.message) : fault;
  } finally {
    channel.end();
  }
}
