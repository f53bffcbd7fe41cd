/** The share that no linear filter explains, against closed forms for Gaussian noise. */
import { describe, expect, it } from 'vitest';
import { addedPercent, bestGain } from '../../src/measure/added-share.ts';
import { runToEnd } from '../../src/render/run-steps.ts';
import { rack, runRack, stage } from '../support/rig.ts';
import { whiteNoise } from './sessions.ts';

const noise = whiteNoise(40 * 48000, 0.25, 21);
const share = (output: Float32Array, input = noise) => runToEnd(addedPercent([input], [output]));

describe('addedPercent', () => {
  it('is nothing for a gain of either sign', () => {
    expect(share(noise.map((x) => -0.4 * x))).toBeLessThan(1e-3);
  });

  it('is next to nothing for a filter', () => {
    // One pole at 1 kHz: its memory, 1/(2π·1000) s, is short against the window of 4096 samples.
    const a = 1 - Math.exp((-2 * Math.PI * 1000) / 48000);
    let low = 0;
    const filtered = noise.map((x) => (low += a * (x - low)));
    expect(share(filtered)).toBeLessThan(1);
  });

  it('is next to nothing for filters whose memory is as long as the window: a coupling capacitor and a shelf', () => {
    const pole = (hz: number) => 1 - Math.exp((-2 * Math.PI * hz) / 48000);
    // Sound with lows, as music has them; without them the filters have nothing to do.
    let [red, low, shelf] = [0, 0, 0];
    const input = noise.map((x) => (red += pole(150) * (x - red)));
    const filtered = input.map((x) => {
      low += pole(7) * (x - low);
      shelf += pole(17) * (x - low - shelf);
      return x - low - 0.4 * shelf;
    });
    expect(share(filtered, input)).toBeLessThan(0.1);
  });

  it('of a triode is the same with its response as without, within a tenth of it', () => {
    const pole = 1 - Math.exp((-2 * Math.PI * 150) / 48000);
    let red = 0;
    const input = noise.slice(0, 20 * 48000).map((x) => (red += 5 * pole * (x - red / 5)));
    const of = (response: string) => share(runRack(rack([stage('triode', { response })]), [input])[0], input) ?? 0;
    const [off, on] = [of('off'), of('on')];
    console.log(`triode: ${off.toFixed(4)} % added without its response, ${on.toFixed(4)} % with`);
    expect(off).toBeGreaterThan(0.1);
    expect(Math.abs(on / off - 1)).toBeLessThan(0.1);
  });

  // Price's and Bussgang's theorems: for x ~ N(0, σ²), x³ = 3σ²x + σ³He₃(x/σ), where He₃ is uncorrelated with x and
  // has power 3! = 6. Of x + a·x³ the share a·σ³√6 over the whole remains.
  it.each([0.02, 0.3, 2])('of x + %s·x³ is that of the third Hermite polynomial', (a) => {
    const s2 = 0.25 ** 2;
    const apart = 6 * a * a * s2 ** 3;
    const together = (1 + 3 * a * s2) ** 2 * s2;
    const expected = 100 * Math.sqrt(apart / (together + apart));
    const measured = share(noise.map((x) => x + a * x ** 3)) ?? 0;
    console.log(`x + ${a}x³: ${measured.toFixed(4)} % measured, ${expected.toFixed(4)} % by closed form`);
    expect(measured / expected).toBeGreaterThan(0.98);
    expect(measured / expected).toBeLessThan(1.02);
  });

  it('of added noise is its own level', () => {
    const other = whiteNoise(noise.length, 0.0025, 22);
    const measured = share(noise.map((x, i) => x + other[i])) ?? 0;
    expect(measured).toBeGreaterThan(0.98);
    expect(measured).toBeLessThan(1.02);
  });

  // y = x + n with n independent: √(σn²/(σx² + σn²)), whatever the length. Power is averaged over the draws, since only
  // its estimate is without bias.
  it.each([
    [0.2, 0.1],
    [0.2, 1],
    [0.5, 0.1],
    [2, 0.1],
  ])('reads %s s with noise of %s of the input without bias (Monte Carlo)', (seconds, ratio) => {
    const draws = Math.ceil(40 / seconds);
    let power = 0;
    for (let draw = 0; draw < draws; draw++) {
      const input = whiteNoise(seconds * 48000, 0.1, 1000 + 2 * draw);
      const other = whiteNoise(seconds * 48000, 0.1 * ratio, 1001 + 2 * draw);
      power +=
        (share(
          input.map((x, i) => x + other[i]),
          input,
        ) ?? 0) **
          2 /
        draws;
    }
    const expected = 100 * Math.sqrt(ratio ** 2 / (1 + ratio ** 2));
    console.log(
      `${seconds} s, noise of ${ratio}: ${Math.sqrt(power).toFixed(3)} %, closed form ${expected.toFixed(3)} %`,
    );
    expect(Math.sqrt(power) / expected).toBeGreaterThan(0.99);
    expect(Math.sqrt(power) / expected).toBeLessThan(1.01);
  });

  it('is not defined for silence and for less than two windows', () => {
    expect(share(new Float32Array(100_000), new Float32Array(100_000))).toBeNull();
    expect(share(noise.slice(0, 8000), noise.slice(0, 8000))).toBeNull();
  });
});

describe('bestGain', () => {
  it('leaves the least: what remains is uncorrelated with the input', () => {
    const output = noise.map((x) => 0.7 * x + x ** 3);
    const gain = bestGain([noise], [output]);
    // 0.7 + 3σ² by Bussgang.
    expect(gain).toBeCloseTo(0.7 + 3 * 0.25 ** 2, 2);
    const left = output.reduce((sum, y, i) => sum + (y - gain * noise[i]) * noise[i], 0);
    expect(Math.abs(left / output.length)).toBeLessThan(1e-9);
  });

  it('is 1 for silence', () => {
    expect(bestGain([new Float32Array(10)], [new Float32Array(10)])).toBe(1);
  });
});
