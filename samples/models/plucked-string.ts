import { gaussian } from '../../src/dsp/random.ts';

export interface Pluck {
  /** First sample in the output. */
  start: number;
  /** Samples until a finger stops the string. */
  length: number;
  /** Hz. */
  frequency: number;
  /** 0 to 1. */
  force: number;
}

/** Where the finger pulls, as part of the string's length: over the end of the fingerboard. */
const PLUCK_POINT = 0.19;
/** Time for a partial wave at 60 Hz to fall by 60 dB, s: gut-like strings on a wooden body die away in seconds. */
const RING_TIME = 3.4;

/**
 * Adds a plucked string's force on the bridge to `out`: a loop as long as one period, through which the string's shape
 * runs, losing a little, and more at high frequencies, at each turn (Karplus and Strong, extended by Jaffe and Smith,
 * Computer Music Journal 7(2) 1983, from memory). Two such loops stand for the string's two directions of swinging,
 * of which the one across the body dies sooner and lies a shade lower.
 */
export function addPluck(out: Float64Array, rate: number, pluck: Pluck, random: () => number): void {
  const directions = [
    { detune: 1, share: 0.75, ring: RING_TIME * 0.8 },
    { detune: 0.9993, share: 0.35, ring: RING_TIME * 1.5 },
  ];
  const excitation = fingerExcitation(rate, pluck, random);
  for (const { detune, share, ring } of directions) {
    addLoop(out, rate, pluck, pluck.frequency * detune, share, ring, excitation);
  }
}

/** The finger's pull and let-go: a soft step whose corner opens with force, with skin noise just before the release. */
function fingerExcitation(rate: number, { frequency, force }: Pluck, random: () => number): Float64Array {
  const period = rate / frequency;
  const length = Math.round(period);
  const release = Math.round(rate * (0.0032 - 0.0017 * force));
  const shape = new Float64Array(length + release);
  const comb = Math.max(1, Math.round(PLUCK_POINT * period));
  let skin = 0;
  for (let i = 0; i < release; i++) {
    const window = Math.sin((Math.PI * (i + 0.5)) / release) ** 2;
    skin += 0.35 * (gaussian(random) - skin);
    const pull = (window / release) * 40 * (1 + 0.35 * skin);
    // The wave that runs to the nut first comes back turned round and later by the finger's place.
    shape[i] += force * pull;
    if (i + comb < shape.length) shape[i + comb] -= force * pull;
  }
  return shape;
}

function addLoop(
  out: Float64Array,
  rate: number,
  pluck: Pluck,
  frequency: number,
  share: number,
  ring: number,
  excitation: Float64Array,
): void {
  // One pole in the loop; its corner falls with the pitch's inverse so that low and high notes are alike in brightness.
  const pole = 0.23;
  const omega = (2 * Math.PI * frequency) / rate;
  const phase = Math.atan2(pole * Math.sin(omega), 1 - pole * Math.cos(omega));
  const delay = rate / frequency - phase / omega;
  const whole = Math.floor(delay - 0.5);
  const fraction = delay - whole;
  // First-order all-pass for the rest of the period (Thiran): its delay is 0.5 to 1.5 samples.
  const allPass = (1 - fraction) / (1 + fraction);
  const gainAt = (t60: number) => 10 ** (-3 / (t60 * frequency));
  const ringing = gainAt(ring * (60 / frequency) ** 0.4);
  const stopped = gainAt(0.16);
  const line = new Float64Array(whole);
  let low = 0;
  let apX = 0;
  let apY = 0;
  let at = 0;
  let level = ringing;
  const frames = Math.min(pluck.length + Math.round(rate * 0.9), out.length - pluck.start);
  for (let i = 0; i < frames; i++) {
    // The stopping finger lands over some 25 ms.
    if (i > pluck.length) level += 0.0008 * (stopped - level);
    const old = line[at];
    low = (1 - pole) * old + pole * low;
    const y = allPass * (low - apY) + apX;
    apX = low;
    apY = y;
    const value = level * y + (i < excitation.length ? excitation[i] : 0);
    line[at] = value;
    at = at + 1 === whole ? 0 : at + 1;
    out[pluck.start + i] += share * value;
  }
}
