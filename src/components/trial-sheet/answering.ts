import type { ReactiveController, ReactiveControllerHost } from 'lit';
import type { Slot, TrialStore } from '../../stores/trial-store.ts';
import { hearFirstWords } from './running-words.ts';

export type Choice = 'first' | 'second';

/**
 * What one does with a pair: hear its sounds, choose an answer, give it, go on. An answer is chosen first and given by a
 * second press, and not before every sound was heard, so that no slip counts.
 */
export class Answering implements ReactiveController {
  choice: Choice | null = null;
  /** What keeps the answer from being given. */
  hint: string | null = null;
  readonly #host: ReactiveControllerHost;
  readonly #find: () => TrialStore | undefined;
  /** Slots that sounded since the pair began. */
  readonly #heard = new Set<Slot>();
  #starting = false;

  constructor(host: ReactiveControllerHost, find: () => TrialStore | undefined) {
    this.#host = host;
    this.#find = find;
    host.addController(this);
  }

  hostUpdate(): void {
    this.#noteHeard();
    if (this.waiting) this.choice = null;
  }

  /** Between two pairs. */
  get waiting(): boolean {
    const trials = this.#find();
    return trials?.state?.phase !== 'playing' || trials.held;
  }

  hear(slot: Slot): void {
    const trials = this.#find();
    if (this.waiting || !trials?.state?.slots.includes(slot)) return;
    if (trials.muted) trials.setMuted(false);
    trials.hear(slot);
    this.#noteHeard();
    this.#say(null);
  }

  choose(choice: Choice): void {
    if (this.waiting) return;
    this.choice = choice;
    this.#say(null);
  }

  /** Goes on, or gives the chosen answer. */
  enter(): void {
    if (this.waiting) void this.#next();
    else this.#answer();
  }

  async #next(): Promise<void> {
    const trials = this.#find();
    if (!trials || this.#starting) return;
    this.#starting = true;
    this.#heard.clear();
    this.choice = null;
    this.#say(null);
    try {
      if (trials.muted) trials.setMuted(false);
      await trials.next();
      this.#noteHeard();
    } finally {
      this.#starting = false;
    }
  }

  #answer(): void {
    const { choice } = this;
    const trials = this.#find();
    if (!trials?.state || this.#starting) return;
    const unheard = trials.state.slots.filter((slot) => !this.#heard.has(slot));
    if (unheard.length > 0) this.#say(hearFirstWords(unheard));
    else if (choice === null) this.#say('Choose an answer first: F or S.');
    else {
      this.choice = null;
      this.#say(null);
      trials.answer(choice);
    }
  }

  /** Several changes may come between two renderings. */
  #noteHeard(): void {
    const trials = this.#find();
    if (trials?.slot && !trials.muted) this.#heard.add(trials.slot);
  }

  #say(hint: string | null): void {
    this.hint = hint;
    this.#host.requestUpdate();
  }
}
