/** A filter that takes one sample and gives one. */
export type Filter = (x: number) => number;

/** One pole: y ← y + k·(x − y), with k = 1 − e^(−2πf/fs). */
export function lowPass(frequency: number, rate: number): Filter {
  const k = 1 - Math.exp((-2 * Math.PI * frequency) / rate);
  let y = 0;
  return (x) => {
    y += k * (x - y);
    return y;
  };
}

/** What the one-pole low-pass leaves. */
export function highPass(frequency: number, rate: number): Filter {
  const low = lowPass(frequency, rate);
  return (x) => x - low(x);
}

/**
 * A mode of vibration: a pole pair at `frequency` whose ringing falls by 60 dB in `t60` seconds. Scaled so that an
 * impulse of 1 rings with an amplitude of 1.
 */
export function mode(frequency: number, t60: number, rate: number): Filter {
  const radius = 10 ** (-3 / (t60 * rate));
  const angle = (2 * Math.PI * frequency) / rate;
  const a1 = 2 * radius * Math.cos(angle);
  const a2 = -radius * radius;
  const gain = Math.sin(angle);
  let y1 = 0;
  let y2 = 0;
  return (x) => {
    const y = a1 * y1 + a2 * y2 + gain * x;
    y2 = y1;
    y1 = y;
    return y;
  };
}

/**
 * A broad resonance with gain 1 at its peak: band-pass (1 − z⁻²) of the given quality, for boxes and tubes that colour
 * what passes through them.
 */
function bandPass(frequency: number, quality: number, rate: number): Filter {
  const angle = (2 * Math.PI * frequency) / rate;
  const alpha = Math.sin(angle) / (2 * quality);
  const scale = 1 / (1 + alpha);
  const b = alpha * scale;
  const a1 = 2 * Math.cos(angle) * scale;
  const a2 = -(1 - alpha) * scale;
  let x1 = 0;
  let x2 = 0;
  let y1 = 0;
  let y2 = 0;
  return (x) => {
    const y = b * (x - x2) + a1 * y1 + a2 * y2;
    x2 = x1;
    x1 = x;
    y2 = y1;
    y1 = y;
    return y;
  };
}

/** The sum of the direct sound and resonances, each [Hz, quality, gain]. */
export function coloured(direct: number, resonances: [number, number, number][], rate: number): Filter {
  const parts = resonances.map(([frequency, quality, gain]) => ({ filter: bandPass(frequency, quality, rate), gain }));
  return (x) => {
    let y = direct * x;
    for (const { filter, gain } of parts) y += gain * filter(x);
    return y;
  };
}

/** One filter after another. */
export function chain(...filters: Filter[]): Filter {
  return (x) => {
    for (const filter of filters) x = filter(x);
    return x;
  };
}
