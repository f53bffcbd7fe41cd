import type { Gain, Hertz, Seconds } from '../dsp/units.ts';
import type { IAudioContext } from './audio-library.ts';
import type { Interruption } from './interruptions.ts';
import { watchInterruptions } from './interruptions.ts';
import { AudioStartError, openContext, wakeContext } from './open-context.ts';
import type { TrialPair, TrialSlot } from './trial-graph.ts';
import { TrialGraph } from './trial-graph.ts';

/** Events are scheduled this far ahead, so that they come in time whatever the page is doing. */
const LEAD: Seconds = 0.02;
/** ms */
const CLOSE_AFTER = 100;

/**
 * Plays the pairs of a blind trial, one after the other, in an audio context of its own at the session's rate. Keeps
 * what it plays to itself: nothing about it can be read from outside.
 */
export class TrialPlayer {
  readonly #onInterruption: (reason: Interruption) => void;
  #context: IAudioContext | null = null;
  #graph: TrialGraph<IAudioContext> | null = null;
  #endWatch: () => void = () => undefined;

  /** @param onInterruption told once for a pair; by then it is silent */
  constructor(onInterruption: (reason: Interruption) => void) {
    this.#onInterruption = onInterruption;
  }

  /**
   * Opens the device, or wakes it; once before every pair.
   * @throws AudioStartError with a sentence that says what to do
   */
  async open(sampleRate: Hertz): Promise<void> {
    const known = this.#context;
    if (known && known.sampleRate === sampleRate && (await wakeContext(known))) return;
    this.close();
    const context = openContext(sampleRate);
    this.#context = context;
    if (await wakeContext(context)) return;
    this.close();
    throw new AudioStartError('The browser keeps the sound asleep. Click into the page and start the pair again.');
  }

  /** The device's clock, seconds. */
  get now(): Seconds {
    return this.#context?.currentTime ?? 0;
  }

  /** Starts a pair at a time of the clock, with its first slot; what played before ends. */
  start(pair: TrialPair, at: Seconds): void {
    this.stop();
    const context = this.#context;
    if (!context) return;
    this.#graph = new TrialGraph(context, pair, Math.max(at, context.currentTime + LEAD));
    this.#endWatch = watchInterruptions(context, (reason) => {
      this.stop();
      this.#onInterruption(reason);
    });
  }

  hear(slot: TrialSlot): void {
    this.#graph?.hear(slot, this.now + LEAD);
  }

  /** @param level where the sound comes back, in place of the pair's */
  setMuted(muted: boolean, level?: Gain): void {
    this.#graph?.setOpen(!muted, this.now + LEAD, level);
  }

  /** Ends the pair with a short fade; at once where the clock stands, or the rest would be heard when it goes on. */
  stop(): void {
    this.#endWatch();
    this.#endWatch = () => undefined;
    if (this.#context?.state === 'running') this.#graph?.end(this.now + LEAD);
    else this.#graph?.drop();
    this.#graph = null;
  }

  /** Gives the device back, once the last fade is over. */
  close(): void {
    this.stop();
    const context = this.#context;
    this.#context = null;
    if (context) setTimeout(() => void context.close().catch(() => undefined), CLOSE_AFTER);
  }
}
