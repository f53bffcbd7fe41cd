/** Longest stretch of work without letting the host hear of other things, ms. */
const STRETCH_MS = 25;

export interface StepOptions {
  /** Ms between two pauses. */
  readonly stretchMs?: number;
  /** In it the host hears of other things, a cancel among them. */
  readonly pause?: () => Promise<void>;
  /** Told after each step how many there were. */
  readonly onStep?: (count: number) => void;
}

/** Runs a generator of steps to its end, without a pause. */
export function runToEnd<T>(steps: Generator<void, T>): T {
  for (;;) {
    const { done, value } = steps.next();
    if (done) return value;
  }
}

/**
 * Runs a generator of steps to its end, with pauses in between in which a cancel can arrive.
 * @throws the signal's reason where it is aborted; the steps are then ended, too
 */
export async function runSteps<T>(
  steps: Generator<void, T>,
  signal?: AbortSignal,
  { stretchMs = STRETCH_MS, pause = nextTask, onStep }: StepOptions = {},
): Promise<T> {
  try {
    let rested = performance.now();
    for (let count = 1; ; count++) {
      signal?.throwIfAborted();
      const { done, value } = steps.next();
      if (done) return value;
      onStep?.(count);
      if (performance.now() - rested < stretchMs) continue;
      await pause();
      rested = performance.now();
    }
  } finally {
    steps.return(undefined as T);
  }
}

function nextTask(): Promise<void> {
  return new Promise((resolve) => {
    setTimeout(resolve, 0);
  });
}
