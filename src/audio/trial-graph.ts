/** The audio graph of one pair of a blind trial: every slot runs all the time, and one of them is let through. */
import type { Decibels, Gain, Seconds } from '../dsp/units.ts';
import { dbToGain } from '../dsp/units.ts';
import type { IAudioBufferSourceNode, IBaseAudioContext, IGainNode, TContext } from './audio-library.ts';

export const TRIAL_SLOTS = ['first', 'second', 'x'] as const;
export type TrialSlot = (typeof TRIAL_SLOTS)[number];

export interface SlotSound {
  /** Left and right, one loop long, at the context's rate. */
  readonly planes: readonly Float32Array[];
  /** On top of the sound as it is: catch trials have some. */
  readonly extraGainDb: Decibels;
}

export interface TrialPair {
  /** x is null where there is none. */
  readonly slots: Readonly<Record<TrialSlot, SlotSound | null>>;
  /** Of all slots alike: common attenuation and monitor level. */
  readonly level: Gain;
}

/** Of the switch and of muting, linear; slots that are alike sum to themselves in it. */
export const TRIAL_FADE: Seconds = 0.008;
/** Every pair comes up this slowly, so that a level set too high doesn't startle. */
export const TRIAL_RISE: Seconds = 0.3;

/**
 * Every slot has a buffer of its own, even where two hold the same sound, and its gain is told the same events at the
 * same times: neither work nor timing depends on what is in it. Times are the context's; each is put off to the end of
 * the fade before it.
 */
export class TrialGraph<T extends TContext> {
  readonly #sources: IAudioBufferSourceNode<T>[] = [];
  readonly #gains = new Map<TrialSlot, IGainNode<T>>();
  readonly #rise: IGainNode<T>;
  readonly #gate: IGainNode<T>;
  readonly #risen: Seconds;
  #level: Gain;
  #slot: TrialSlot;
  #slotFree: Seconds;
  #open = true;
  #gateFree: Seconds;

  /** Starts at `at` with the first slot. */
  constructor(context: IBaseAudioContext<T>, { slots, level }: TrialPair, at: Seconds) {
    this.#level = level;
    this.#risen = at + TRIAL_RISE;
    this.#rise = context.createGain();
    this.#rise.gain.setValueAtTime(0, at);
    this.#rise.gain.linearRampToValueAtTime(level, this.#risen);
    this.#gate = context.createGain();
    this.#gate.gain.setValueAtTime(1, at);
    this.#rise.connect(this.#gate).connect(context.destination);
    this.#slot = 'first';
    for (const slot of TRIAL_SLOTS) {
      const sound = slots[slot];
      if (!sound) continue;
      const source = context.createBufferSource();
      source.buffer = bufferOf(context, sound);
      source.loop = true;
      const gain = context.createGain();
      gain.gain.setValueAtTime(slot === this.#slot ? 1 : 0, at);
      source.connect(gain).connect(this.#rise);
      source.start(at);
      this.#sources.push(source);
      this.#gains.set(slot, gain);
    }
    this.#slotFree = at;
    this.#gateFree = at;
  }

  /** Lets another slot through, from the same place of the loop. */
  hear(slot: TrialSlot, at: Seconds): void {
    if (!this.#gains.has(slot)) return;
    const from = Math.max(at, this.#slotFree);
    for (const [one, { gain }] of this.#gains) {
      gain.setValueAtTime(one === this.#slot ? 1 : 0, from);
      gain.linearRampToValueAtTime(one === slot ? 1 : 0, from + TRIAL_FADE);
    }
    this.#slot = slot;
    this.#slotFree = from + TRIAL_FADE;
  }

  /**
   * Silence, or sound again; everything goes on running. Whoever muted because it was too loud hears the pair at
   * another level afterwards, the same for every slot.
   */
  setOpen(open: boolean, at: Seconds, level: Gain = this.#level): void {
    let from = Math.max(at, this.#gateFree);
    if (open && !this.#open && level !== this.#level) {
      from = Math.max(from, this.#risen);
      this.#rise.gain.setValueAtTime(level, from);
      this.#level = level;
    }
    this.#gate.gain.setValueAtTime(this.#open ? 1 : 0, from);
    this.#gate.gain.linearRampToValueAtTime(open ? 1 : 0, from + TRIAL_FADE);
    this.#open = open;
    this.#gateFree = from + TRIAL_FADE;
  }

  /** Fades out and lets everything go. */
  end(at: Seconds): void {
    this.setOpen(false, at);
    for (const source of this.#sources) source.stop(this.#gateFree);
    const [last] = this.#sources;
    if (last) last.onended = () => this.drop();
  }

  /** Silence this instant, for good. */
  drop(): void {
    this.#gate.disconnect();
  }
}

/** A copy with the extra gain in it; multiplied also where it is 1, which changes no bit and takes as long. */
function bufferOf<T extends TContext>(context: IBaseAudioContext<T>, { planes, extraGainDb }: SlotSound) {
  const gain = Math.fround(dbToGain(extraGainDb));
  const buffer = context.createBuffer(planes.length, planes[0].length, context.sampleRate);
  for (const [channel, plane] of planes.entries())
    buffer.copyToChannel(
      plane.map((x) => gain * x),
      channel,
    );
  return buffer;
}
