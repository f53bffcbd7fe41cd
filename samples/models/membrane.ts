/** One blow on the skin. */
export interface Stroke {
  /** Sample at which it begins. */
  start: number;
  /** Peak force, 0 to 1. */
  force: number;
  /** How long finger or hand stays on the skin, s: short is bright. */
  contact: number;
  /** Where it lands: part of the radius, and angle in radians. */
  radius: number;
  angle: number;
  /** How much the hand damps the skin afterwards (0: lets it ring), for about a tenth of a second. */
  damp: number;
}

interface Mode {
  order: number;
  zero: number;
  frequency: number;
  /** Loss a second, nepers. */
  loss: number;
  /** Direction along which the mode has its belly. */
  turn: number;
}

/** Modes up to this zero of the Bessel functions are followed: ten times the lowest frequency. */
const LARGEST_ZERO = 24;

/** J_m(x) by its integral, (1/π)∫cos(mτ − x·sin τ)dτ over half a turn, in 64 steps. */
function besselJ(order: number, x: number): number {
  let sum = 0;
  for (let k = 0; k < 64; k++) {
    const tau = (Math.PI * (k + 0.5)) / 64;
    sum += Math.cos(order * tau - x * Math.sin(tau));
  }
  return sum / 64;
}

/** The zeros of J_m up to the largest that is followed: changes of sign, then halved forty times. */
function zerosOf(order: number): number[] {
  const zeros: number[] = [];
  // The first zero lies above the order itself, and two are never closer than 2.
  for (let x = order + 1; x < LARGEST_ZERO; x += 0.5) {
    let [low, high] = [x, x + 0.5];
    if (besselJ(order, low) * besselJ(order, high) > 0) continue;
    for (let k = 0; k < 40; k++) {
      const middle = (low + high) / 2;
      if (besselJ(order, low) * besselJ(order, middle) > 0) low = middle;
      else high = middle;
    }
    zeros.push(low);
  }
  return zeros;
}

/** The skin's modes, for a lowest frequency in Hz. Each mode with a direction comes twice, a quarter of a belly apart. */
function modesOf(lowest: number): Mode[] {
  const first = zerosOf(0)[0];
  const modes: Mode[] = [];
  for (let order = 0; order < LARGEST_ZERO - 1; order++) {
    zerosOf(order).forEach((zero, ring) => {
      const ratio = zero / first;
      // Air on both sides weighs the low modes down; those that push air (order 0) lose their energy to sound.
      const frequency = (lowest * ratio * (1 - 0.1 / ratio ** 2)) / 0.9;
      const loss = 3.2 + 2.2 * ratio + (order === 0 ? 5.5 / (1 + ring) : 0);
      modes.push({ order, zero, frequency, loss, turn: 0 });
      // A real skin is never tuned alike all round: the twin is a trifle off, and beats.
      if (order > 0) modes.push({ order, zero, frequency: frequency * 1.006, loss, turn: Math.PI / (2 * order) });
    });
  }
  return modes;
}

const BLOCK = 16;

/**
 * A frame drum's skin, heard by two microphones: the modes of a round membrane, each a ringing pole pair, all struck by
 * one force. Hard blows stretch the skin and raise its pitch for a moment; a damping hand shortens every mode.
 * @param lowest frequency of the skin's first mode, Hz
 * @returns left and right, `frames` long
 */
export function playMembrane(
  strokes: Stroke[],
  lowest: number,
  frames: number,
  rate: number,
): [Float64Array, Float64Array] {
  const left = new Float64Array(frames);
  const right = new Float64Array(frames);
  const hand = handOnSkin(strokes, frames, rate);
  const stretch = new Float64Array(Math.ceil(frames / BLOCK));
  const modes = modesOf(lowest);
  modes.forEach((mode, index) => {
    const force = modalForce(strokes, mode, frames, rate);
    // The first mode's own energy tells the others how far the skin is stretched.
    ring(mode, force, hand, stretch, index === 0, { left, right, rate });
  });
  return [left, right];
}

/** The damping of hands over time: it sets in with the contact and lets go after a tenth of a second. */
function handOnSkin(strokes: Stroke[], frames: number, rate: number): Float64Array {
  const hand = new Float64Array(Math.ceil(frames / BLOCK));
  for (const stroke of strokes) {
    if (stroke.damp === 0) continue;
    const from = Math.floor(stroke.start / BLOCK);
    for (let i = from; i < Math.min(hand.length, from + (0.3 * rate) / BLOCK); i++) {
      const t = ((i - from) * BLOCK) / rate;
      hand[i] += stroke.damp * (t < 0.09 ? 1 : Math.exp(-(t - 0.09) / 0.03));
    }
  }
  return hand;
}

/** The force that one mode feels: a half-sine squared for each stroke, weighted by the mode's shape where it lands. */
function modalForce(strokes: Stroke[], mode: Mode, frames: number, rate: number): Float64Array {
  const force = new Float64Array(frames);
  for (const stroke of strokes) {
    const shape = besselJ(mode.order, mode.zero * stroke.radius) * Math.cos(mode.order * (stroke.angle - mode.turn));
    // A finger of some width averages over the finer modes.
    const width = Math.exp(-((mode.zero * 0.03) ** 2));
    const length = Math.max(2, Math.round(stroke.contact * rate));
    for (let i = 0; i < length && stroke.start + i < frames; i++) {
      force[stroke.start + i] +=
        ((stroke.force * shape * width) / length) * 2 * Math.sin((Math.PI * (i + 0.5)) / length) ** 2;
    }
  }
  return force;
}

function ring(
  mode: Mode,
  force: Float64Array,
  hand: Float64Array,
  stretch: Float64Array,
  first: boolean,
  { left, right, rate }: { left: Float64Array; right: Float64Array; rate: number },
): void {
  // Higher modes radiate better until sound and bending waves run alike; the two microphones look at different bellies.
  const radiated = (mode.order === 0 ? 1.6 : 1 / (1 + 0.18 * mode.order)) * (mode.frequency / 100) ** 0.35;
  const toLeft = radiated * (mode.order === 0 ? 1 : Math.cos(mode.order * (0.5 - mode.turn)));
  const toRight = radiated * (mode.order === 0 ? 1 : Math.cos(mode.order * (2.1 - mode.turn)));
  let re = 0;
  let im = 0;
  for (let block = 0; block < stretch.length; block++) {
    if (first) stretch[block] = Math.min(0.05, 0.22 * (re * re + im * im));
    const decay = Math.exp((-mode.loss * (1 + 9 * hand[block])) / rate);
    const angle = (2 * Math.PI * mode.frequency * (1 + stretch[block])) / rate;
    const c = decay * Math.cos(angle);
    const s = decay * Math.sin(angle);
    const end = Math.min(force.length, (block + 1) * BLOCK);
    for (let i = block * BLOCK; i < end; i++) {
      const next = c * re - s * im + force[i];
      im = s * re + c * im;
      re = next;
      left[i] += toLeft * im;
      right[i] += toRight * im;
    }
  }
}
