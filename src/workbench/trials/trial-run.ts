/** One blind trial while it runs: the scheduler, the sounds and the player, which know what the screen must not. */

import type { SlotSound, TrialPair } from '../../audio/trial-graph.ts';
import type { SlotStimuli, TrialScheduler } from '../../blind/scheduler.ts';
import type { Stimulus } from '../../blind/trial-plan.ts';
import type { DiscardReason, Gains, Slot, TrialRecord } from '../../blind/trial-record.ts';
import { dbToGain } from '../../dsp/units.ts';
import type { RenderedSound, RenderedSounds } from '../../measure/trial/trial-set.ts';
import type { TrialState } from '../../stores/trial-store.ts';
import { sentence } from '../notices.ts';
import { settingOf } from './plan.ts';
import type { PairPlayer } from './trial-parts.ts';

export interface RunParts {
  readonly scheduler: TrialScheduler;
  readonly sounds: RenderedSounds;
  readonly sampleRate: number;
  readonly player: PairPlayer;
  /** Monitor level as an amplitude ratio, asked for before every pair and when a mute is released. */
  readonly monitor: () => number;
  /** Milliseconds on a steady clock. */
  readonly now: () => number;
  readonly wait: (ms: number) => Promise<void>;
  readonly changed: () => void;
}

/**
 * From the request for a pair to its first sound: more than its preparing takes, so that the time tells nothing about
 * the pair.
 */
const START_AFTER_MS = 600;

/** Everything that depends on which sound is where is in private fields, and in the player. */
export class TrialRun {
  readonly #parts: RunParts;
  readonly #begun: number;
  #playback: SlotStimuli | null = null;
  #starting = false;
  #slot: Slot | null = null;
  #remark: string | null = null;
  #held = false;
  #muted = false;

  constructor(parts: RunParts) {
    this.#parts = parts;
    this.#begun = parts.now();
  }

  get state(): TrialState {
    return this.#parts.scheduler.state;
  }
  get slot(): Slot | null {
    return this.#slot;
  }
  get remark(): string | null {
    return this.#remark;
  }
  get held(): boolean {
    return this.#held;
  }
  get muted(): boolean {
    return this.#muted;
  }
  get hasEnded(): boolean {
    return this.state.phase === 'complete' || this.state.phase === 'stopped';
  }

  async next(): Promise<void> {
    const { scheduler, player, sampleRate, wait, changed } = this.#parts;
    if (this.#starting || this.hasEnded || this.#isPlaying()) return;
    this.#starting = true;
    try {
      await player.open(sampleRate);
      if (this.hasEnded) return;
      const begun = player.now;
      const due = wait(START_AFTER_MS);
      this.#playback = scheduler.next(this.#seconds());
      this.#muted = false;
      this.#held = false;
      this.#remark = null;
      player.start(this.#pairOf(this.#playback), begun + START_AFTER_MS / 1000);
      // The screen can mute it from here on.
      changed();
      await due;
      if (this.#isPlaying()) this.#slot = 'first';
    } catch (fault) {
      if (this.#isPlaying()) this.interrupt('sound-interrupted');
      this.#remark = sentence(fault);
      this.#held = true;
    } finally {
      this.#starting = false;
      changed();
    }
  }

  hear(slot: Slot): void {
    if (this.#slot === null || !this.state.slots.includes(slot)) return;
    this.setMuted(false);
    this.#parts.player.hear(slot);
    this.#slot = slot;
    this.#parts.changed();
  }

  setMuted(on: boolean): void {
    // Also before the first sound has come: it is muted then before it is heard.
    if (this.#muted === on || !this.#isPlaying()) return;
    this.#muted = on;
    this.#parts.player.setMuted(on, this.#level());
    this.#parts.changed();
  }

  answer(choice: 'first' | 'second'): void {
    if (this.#slot === null || this.#playback === null) return;
    const gains = this.#gainsOf(this.#playback);
    this.#silence();
    const { lastDiscard } = this.#parts.scheduler.answer(choice, this.#seconds(), gains);
    this.#remark = lastDiscard === null ? null : DISCARD_WORDS[lastDiscard];
    this.#parts.changed();
  }

  /** The pair at hand was disturbed. */
  interrupt(reason: DiscardReason): void {
    if (!this.#isPlaying()) return;
    this.#silence();
    this.#parts.scheduler.discard(reason, this.#seconds());
    this.#remark = DISCARD_WORDS[reason];
    this.#held = true;
    this.#parts.changed();
  }

  /** Ends early, with what there is. */
  stop(): void {
    this.#silence();
    this.#parts.scheduler.stop(this.#seconds());
    this.#parts.changed();
  }

  /** @throws BlindTrialError before the end */
  reveal(): TrialRecord {
    return this.#parts.scheduler.reveal();
  }

  #isPlaying(): boolean {
    return this.state.phase === 'playing';
  }

  #silence(): void {
    this.#parts.player.stop();
    this.#slot = null;
    this.#playback = null;
    this.#muted = false;
  }

  #pairOf({ first, second, x }: SlotStimuli): TrialPair {
    const slot = (one: Stimulus): SlotSound => ({ planes: this.#soundOf(one).planes, extraGainDb: one.extraGainDb });
    return {
      slots: { first: slot(first), second: slot(second), x: x && slot(x) },
      level: this.#level(),
    };
  }

  /** Common attenuation and the monitor level as it is now. */
  #level(): number {
    return dbToGain(this.#parts.sounds.attenuationDb) * this.#parts.monitor();
  }

  /** The match of both, with the attenuation that all have, and by how much the second was louder. */
  #gainsOf({ first, second }: SlotStimuli): Gains {
    const { attenuationDb } = this.#parts.sounds;
    const [one, other] = [this.#soundOf(first), this.#soundOf(second)];
    return {
      firstDb: one.matchGainDb + attenuationDb,
      secondDb: other.matchGainDb + attenuationDb,
      residualLu: other.residualLu - one.residualLu,
    };
  }

  #soundOf(stimulus: Stimulus): RenderedSound {
    const id = settingOf(stimulus);
    const found = this.#parts.sounds.sounds.find(
      (sound) => sound.id === id && sound.overdriven === stimulus.overdriven,
    );
    if (!found) throw new Error('A sound of this trial is missing. Stop it and start another one.');
    return found;
  }

  /** Since the run began, to the millisecond. */
  #seconds(): number {
    return Math.round(this.#parts.now() - this.#begun) / 1000;
  }
}

/** Why a pair was taken out of the count, for the listener. */
const DISCARD_WORDS: Record<DiscardReason, string> = {
  'tab-hidden': 'This page was out of sight, so the pair does not count. Another one takes its place.',
  'device-changed':
    'An audio device came or went, so the pair does not count. Check what you listen with; another pair takes its place.',
  'sound-interrupted': 'The sound was interrupted, so the pair does not count. Another one takes its place.',
  'not-matched': 'The pair was not matched in loudness, so it does not count. Another one takes its place.',
  'loop-silent': 'The loop was silent, so the pair does not count. Another one takes its place.',
  listener: 'The pair does not count. Another one takes its place.',
};
