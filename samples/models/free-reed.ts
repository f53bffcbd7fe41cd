import { gaussian } from '../../src/dsp/random.ts';

/** Where the reed's slot and tongue stand, in units of the tongue's usual swing. */
export interface ReedGeometry {
  /** Height of the resting tongue above the plate. */
  rest: number;
  /** Thickness of the plate: while the tip is inside the slot, hardly any air passes. */
  plate: number;
  /** What leaks round the tongue. */
  leak: number;
  /** Turbulence, as part of the flow. */
  hiss: number;
}

export interface ReedNote {
  /** Hz at small pressure. */
  frequency: number;
  /** First sample in the output. */
  start: number;
  /** Pressure at the reed, one value a sample: 0 to about 1. */
  pressure: Float64Array;
  gain: number;
}

/** Roundness of the edges at the slot; sharper edges would alias. */
const EDGE = 0.035;
/** Pull of the pressure on the pitch: a free reed goes flat when it is blown hard, here by 7 cents at pressure 1. */
const FLATTENING = 0.004;
/** How fast the tongue gains energy from the air at pressure 1, and what it loses: both per radian. */
const AIR_GAIN = 0.2;
const LOSS = 0.012;

/**
 * Adds one note of a free reed to `out`: a tongue that swings through a slot in a plate, driven by the air it lets pass.
 *
 * The tongue is a mass on a spring whose damping the air makes negative for small swings and positive for large ones,
 * which is van der Pol's oscillator: ẍ = −ω²(x − x₀) + ωμ(1 − (x/X)²)ẋ. It opens the slot above the plate and again
 * below it, so the flow A(x)·√p comes in unlike pulses, rich in odd and even harmonics. The chamber behind the reed
 * gives way a little at each pulse. What is heard is the flow's rate of change.
 */
export function addFreeReed(
  out: Float64Array,
  rate: number,
  note: ReedNote,
  reed: ReedGeometry,
  random: () => number,
): void {
  const h = 1 / rate;
  const { pressure, start } = note;
  const chamber = 1 - Math.exp(-h / 0.00012);
  const hissCorner = 1 - Math.exp(-2 * Math.PI * 5000 * h);
  const scale = note.gain / (2 * Math.PI * note.frequency ** 0.62 * 13 * h);
  // The pallet lets the air in at once: the tongue is drawn into the slot and speaks from there.
  let x = reed.rest - 0.4;
  let y = 0;
  let pc = 0;
  let lastFlow = 0;
  let hiss = 0;
  for (let i = 0; i < pressure.length && start + i < out.length; i++) {
    const p = pressure[i];
    const omega = 2 * Math.PI * note.frequency * (1 - FLATTENING * p);
    const swing = 0.7 * Math.sqrt(p) + 0.02;
    const mu = (AIR_GAIN * p) / (p + 0.25) - LOSS;
    const equilibrium = reed.rest - 0.35 * p;
    const damping = mu > 0 ? mu * (1 - (x * x) / (swing * swing)) : mu;
    // Semi-implicit Euler; 2·sin(ωh/2) instead of ωh keeps the pitch exact (leapfrog's dispersion relation).
    const step = 2 * Math.sin((omega * h) / 2);
    y += step * (damping * y - (x - equilibrium));
    x += step * y;
    const below = -x - reed.plate;
    const area =
      reed.leak + 0.5 * (x + Math.sqrt(x * x + EDGE * EDGE)) + 0.5 * (below + Math.sqrt(below * below + EDGE * EDGE));
    pc += chamber * (p - pc);
    const drop = pc / (1 + 0.3 * area * area);
    hiss += hissCorner * (gaussian(random) - hiss);
    const flow = area * Math.sqrt(Math.max(drop, 0)) * (1 + reed.hiss * hiss);
    out[start + i] += scale * (flow - lastFlow);
    lastFlow = flow;
  }
}
