/** Koren's equation by the tables of the sound (worklets/kernels/koren.ts) against the equation itself. */
import { describe, expect, it } from 'vitest';
import { Heap } from '../../src/engine/heap.ts';
import { koren } from '../support/koren.ts';
import { freshKernels } from '../support/rig.ts';

const kernels = freshKernels();
const heap = new Heap(kernels);
const [volts, results] = [heap.allocate(32), heap.allocate(48)];

/** Current and slopes of one valve as the kernels have them, in the first lane. */
function table(vg: number, vp: number) {
  heap.f32[volts >> 2] = vg;
  heap.f32[(volts >> 2) + 4] = vp;
  kernels.valveAt(volts, results);
  const at = results >> 2;
  return { current: heap.f32[at], gm: heap.f32[at + 4], gp: heap.f32[at + 8] };
}

describe("Koren's equation by table", () => {
  it('is off by less than 1.5e-6 of the current, or of the 1 mA of a valve at rest', () => {
    let worst = 0;
    for (let vp = 1; vp < 950; vp = vp * 1.013 + 0.01) {
      for (let vg = -6; vg < 2; vg += 0.0137) {
        // Single precision of the voltages is the caller's.
        const [g, p] = [Math.fround(vg), Math.fround(vp)];
        // Beyond that the table holds what stands within exp: the grid is far above the cathode, the plate next to it.
        if (600 * (0.01 + g / Math.sqrt(300 + p * p)) > 63.9) continue;
        const expected = koren(g, p);
        worst = Math.max(worst, Math.abs(table(g, p).current - expected) / Math.max(1, expected));
      }
    }
    console.log(`plate current off by ${worst.toExponential(2)}`);
    expect(worst).toBeLessThan(1.5e-6);
  });

  it('has slopes within 1e-3 of themselves', () => {
    const h = 1e-4;
    for (const vp of [5, 40, 120, 169, 250, 400, 700]) {
      for (const vg of [-4, -2, -1.2, -0.5, 0, 0.5]) {
        const { gm, gp } = table(vg, vp);
        expect(Math.abs(gm - (koren(vg + h, vp) - koren(vg - h, vp)) / (2 * h))).toBeLessThan(1e-3 * gm + 1e-6);
        expect(Math.abs(gp - (koren(vg, vp + h) - koren(vg, vp - h)) / (2 * h))).toBeLessThan(1e-3 * gp + 1e-6);
      }
    }
  });
});
