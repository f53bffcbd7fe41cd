/**
 * Seeded random numbers, so that test signals and demo audio are the same on every machine.
 *
 * The generator is Chris Doty-Humphrey's "small fast counting" generator with 32-bit words (sfc32), published with
 * PractRand and placed in the public domain; written here from its recurrence. Its state is three words and a
 * counter, so its period is at least 2^32, and 2^127 on average.
 */

/**
 * A generator of uniform numbers in [0, 1) with 32-bit resolution.
 * @param seed any finite number; its lowest 32 bits as an integer are used
 */
export function seededRandom(seed: number): () => number {
  let a = seed | 0;
  let b = 0x5eed1e7e;
  let c = 0x2545f491;
  let counter = 1;
  const next = (): number => {
    const sum = (((a + b) | 0) + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (((c << 21) | (c >>> 11)) + sum) | 0;
    return (sum >>> 0) / 4294967296;
  };
  // The first outputs still show the seed: neighbouring seeds need a dozen rounds to part.
  for (let round = 0; round < 15; round++) next();
  return next;
}

/**
 * One normally distributed number, mean 0 and variance 1, by the Box-Muller transform
 * z = √(−2 ln u₁)·cos 2πu₂. Takes two numbers from `random` at each call and keeps no state of its own.
 */
export function gaussian(random: () => number): number {
  // 1 − u lies in (0, 1], which keeps the logarithm finite.
  const radius = Math.sqrt(-2 * Math.log(1 - random()));
  return radius * Math.cos(2 * Math.PI * random());
}
