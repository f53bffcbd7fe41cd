import { gaussian } from '../../src/dsp/random.ts';

/** What the player does, one value a sample. */
export interface ClarinetControls {
  /** Sounding pitch, Hz. */
  frequency: Float64Array;
  /** Mouth pressure over the pressure that would close the reed at rest: it speaks above about 0.35. */
  pressure: Float64Array;
  /** 1 where the tongue lies on the reed. */
  tongue: Float64Array;
}

/** Reed opening and lip force in one: the flow's strength against the bore's impedance. */
const EMBOUCHURE = 0.52;
/** What the bore gives back at the open end at low frequencies. */
const REFLECTION = 0.965;
/** Above about this the tone-hole lattice lets sound out instead of sending it back, Hz. */
const LATTICE_CUTOFF = 1150;
/** Time in which fingers open or close a hole, s. */
const FINGER_TIME = 0.007;
/** The reed's give makes notes some 5 cents sharper than the bore; the bore is made longer by as much. */
const LENGTHENING = 2 ** (5 / 1200);

/**
 * Flow through the reed for D = pressure without flow: solves Δ + ζ·(1 − Δ)·√Δ = D for the pressure drop Δ; the reed is
 * shut from Δ = 1 on. (McIntyre, Schumacher and Woodhouse, JASA 74, 1983, from memory.) Newton from the last answer.
 */
function reedDrop(d: number, guess: number): number {
  if (d >= 1) return d;
  const side = d < 0 ? -1 : 1;
  const size = Math.abs(d);
  // In s = √|Δ|: s² + ζ·s·(1 ∓ s²) = |D|, which grows all the way for ζ < 1.
  let s = Math.sqrt(Math.abs(guess)) || 0.5;
  for (let k = 0; k < 6; k++) {
    const f = s * s + EMBOUCHURE * s * (1 - side * s * s) - size;
    const slope = 2 * s + EMBOUCHURE * (1 - 3 * side * s * s);
    s = Math.max(0, s - f / slope);
  }
  return side * s * s;
}

/**
 * A single reed on a cylindrical bore: closed at the reed, open at the other end, so the bore holds the odd harmonics and
 * sounds an octave below an open pipe of its length. One round trip in the bore is a delay of half a period and a
 * reflection with turned sign, duller above the tone holes' cut-off; what isn't reflected is heard.
 * @returns the radiated sound, as long as the controls
 */
export function playClarinet(controls: ClarinetControls, rate: number, random: () => number): Float64Array {
  const { frequency, pressure, tongue } = controls;
  const frames = frequency.length;
  const out = new Float64Array(frames);
  const size = 4096;
  const bore = new Float64Array(size);
  const k = 1 - Math.exp((-2 * Math.PI * LATTICE_CUTOFF) / rate);
  const glide = 1 - Math.exp(-1 / (FINGER_TIME * rate));
  let low1 = 0;
  let low2 = 0;
  let drop = 0;
  let breath = 0;
  let target = roundTrip(frequency[0], rate, k);
  let length = target;
  let write = 0;
  for (let i = 0; i < frames; i++) {
    if (i > 0 && frequency[i] !== frequency[i - 1]) target = roundTrip(frequency[i], rate, k);
    length += glide * (target - length);
    const outgoing = tap(bore, write - length, size - 1);
    low1 += k * (outgoing - low1);
    low2 += k * (low1 - low2);
    const returning = -REFLECTION * low2;
    breath += 0.05 * (gaussian(random) - breath);
    const mouth = pressure[i] * (1 + 0.05 * breath);
    // The tongue shuts the reed: no flow, the bore just rings.
    const d = mouth - 2 * returning;
    const open = 1 - tongue[i];
    drop = reedDrop(d, drop);
    bore[write & (size - 1)] = returning + open * (d - drop);
    write++;
    out[i] = outgoing + returning + 0.003 * open * breath * pressure[i] * (1 + outgoing);
  }
  return out;
}

/** Samples of delay for one round trip: half a period, less the delay of the two low-pass poles at this pitch. */
function roundTrip(frequency: number, rate: number, k: number): number {
  const omega = (2 * Math.PI * frequency) / rate;
  const a = 1 - k;
  const phase = Math.atan2(a * Math.sin(omega), 1 - a * Math.cos(omega));
  return (LENGTHENING * rate) / (2 * frequency) - (2 * phase) / omega;
}

/** The delay line between two samples, by Lagrange's cubic. */
function tap(line: Float64Array, position: number, mask: number): number {
  const at = Math.floor(position);
  const x = position - at;
  const a = line[(at - 1) & mask];
  const b = line[at & mask];
  const c = line[(at + 1) & mask];
  const d = line[(at + 2) & mask];
  return (
    (-a * x * (x - 1) * (x - 2)) / 6 +
    (b * (x + 1) * (x - 1) * (x - 2)) / 2 -
    (c * (x + 1) * x * (x - 2)) / 2 +
    (d * (x + 1) * x * (x - 1)) / 6
  );
}
