/** Longest stretch of work without letting the host hear of other things, ms. */
const STRETCH_MS = 25;

export interface RestOptions {
  /** Ms between two pauses. */
  readonly stretchMs?: number;
  /** In it the host hears of other things, a cancel among them. */
  readonly pause?: () => Promise<void>;
}

export interface StepOptions extends RestOptions {
  /** Told after each step how many there were. */
  readonly onStep?: (count: number) => void;
}

/** @returns what to call between two pieces of work: a pause to wait for where a stretch is over, else null */
export function rests({ stretchMs = STRETCH_MS, pause = nextTask }: RestOptions = {}): () => Promise<void> | null {
  let rested = performance.now();
  return () => {
    if (performance.now() - rested < stretchMs) return null;
    return pause().then(() => {
      rested = performance.now();
    });
  };
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
  { onStep, ...options }: StepOptions = {},
): Promise<T> {
  try {
    const rest = rests(options);
    for (let count = 1; ; count++) {
      signal?.throwIfAborted();
      const { done, value } = steps.next();
      if (done) return value;
      onStep?.(count);
      const due = rest();
      if (due) await due;
    }
  } finally {
    steps.return(undefined as T);
  }
}

export function nextTask(): Promise<void> {
  return new Promise((resolve) => {
    setTimeout(resolve, 0);
  });
}
