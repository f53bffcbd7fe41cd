/** Longest stretch of work without letting the host hear of other things. */
const STRETCH_MS = 25;

/**
 * Runs a generator of steps to its end, with pauses in between in which a cancel can arrive.
 * @throws the signal's reason where it is aborted
 */
export async function runSteps<T>(steps: Generator<void, T>, signal?: AbortSignal): Promise<T> {
  let rested = performance.now();
  for (;;) {
    signal?.throwIfAborted();
    const { done, value } = steps.next();
    if (done) return value;
    if (performance.now() - rested < STRETCH_MS) continue;
    await new Promise<void>((resolve) => {
      setTimeout(resolve, 0);
    });
    rested = performance.now();
  }
}
