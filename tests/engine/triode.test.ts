/**
 * The triode: Koren's figures (Koren 1996, MU 100, EX 1.4, KG1 1060, KP 600, KVB 300; values computed outside from the
 * equations: 250 V, −2 V: 0.951803 mA, 1.6700 mS, 53.69 kΩ), ngspice on the same netlist, and what it promises as a stage.
 */
import { afterAll, describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/dsp/random.ts';
import { triode } from '../../src/engine/stages/triode.ts';
import { runCircuit } from '../support/circuit-rig.ts';
import { hasNgspice, transient } from '../support/oracle-ngspice.ts';
import { rack, runRack, stage } from '../support/rig.ts';
import { dbcOf, steadyTone } from '../support/steady-tone.ts';

const RATE = 192_000;

/** Runs the kernel; with it its working point: volts, mA and mS, and 1 over the gain in the middle of the band. */
function runTriode(params: Record<string, string>, input: Float32Array, rate: number, beyond?: Record<string, number>) {
  const { added, coefficients } = runCircuit(triode, params, input, rate, beyond);
  const [current, plateVolts, gridVolts, gm, gp, out] = coefficients;
  return { added, point: { current, plateVolts, gridVolts, gm, gp, out } };
}

const figures: string[] = [];
afterAll(() => console.log(figures.join('\n')));

/** The plate's deviation from rest: what the kernel adds to its input, with the response on, is plate·out − input. */
function plateOf(input: Float32Array): { plate: Float64Array; rest: number } {
  const { added, point } = runTriode({ response: 'on' }, input, RATE);
  const rest = point.plateVolts + -point.gridVolts;
  return { plate: Float64Array.from(added, (value, i) => (value + input[i]) / point.out), rest };
}

const netlist = (source: string) => `${source}
Rs in a 47k
Cc a g 22n
Rg g 0 1Meg
Cm g p 1.7p
Bx x 0 V=600*(0.01+V(g,k)/sqrt(300+V(p,k)*V(p,k)))
Bp p k I=2*(max(V(p,k),0)/600*(V(x)>40 ? V(x) : ln(1+exp(min(V(x),40)))))^1.4/1060
Bg g k I=0.05/2000*(V(g,k)>2 ? V(g,k)/0.05 : ln(1+exp(min(V(g,k)/0.05,40))))
Rp vb p 100k
Vb vb 0 250
Rk k 0 1.5k
Ck k 0 22u`;

describe.skipIf(!hasNgspice)('against ngspice on the same netlist', () => {
  for (const hz of [100, 1000, 5000]) {
    for (const volts of [0.2, 0.7, 2]) {
      it(`stays within 1 % of the plate's peak at ${hz} Hz, ${volts} V`, () => {
        const seconds = 0.03;
        const input = Float32Array.from(
          { length: RATE * seconds },
          (_, i) => volts * Math.sin((2 * Math.PI * hz * i) / RATE),
        );
        const { plate, rest } = plateOf(input);
        const expected = transient(netlist(`Vin in 0 SIN(0 ${volts} ${hz})`), 'p', RATE, seconds);
        let [worst, peak] = [0, 0];
        // A sine that starts has a corner, which no sampled circuit follows within its first frames.
        for (let i = Math.round(0.0002 * RATE); i < plate.length; i++) {
          peak = Math.max(peak, Math.abs(expected[i] - rest));
          worst = Math.max(worst, Math.abs(plate[i] - (expected[i] - rest)));
        }
        figures.push(`${hz} Hz ${volts} V: peak ${peak.toFixed(2)} V, off by ${((100 * worst) / peak).toFixed(4)} %`);
        expect(worst).toBeLessThan(0.01 * peak);
      });
    }
  }

  it('shifts its bias after a loud burst as far, within 5 %, and comes back as fast', () => {
    const burst = 0.1;
    const seconds = 0.16;
    const input = Float32Array.from({ length: RATE * seconds }, (_, i) =>
      i < burst * RATE ? 4 * Math.sin((2 * Math.PI * 1000 * i) / RATE) : 0,
    );
    const { plate, rest } = plateOf(input);
    // A sine that stops after a whole number of periods.
    const expected = transient(
      netlist(`Bin in 0 V=time<${burst} ? 4*sin(6.283185307179586*1000*time) : 0`),
      'p',
      RATE,
      seconds,
    );
    for (const after of [0.002, 0.01, 0.03]) {
      const i = Math.round((burst + after) * RATE);
      const shift = expected[i] - rest;
      figures.push(`bias ${1000 * after} ms after the burst: ${shift.toFixed(3)} V, here ${plate[i].toFixed(3)} V`);
      expect(Math.abs(shift)).toBeGreaterThan(0.5);
      expect(Math.abs(plate[i] - shift)).toBeLessThan(0.05 * Math.abs(shift));
    }
  });
});

describe("Koren's valve", () => {
  it('draws 0.951803 mA at 250 V and −2 V, with 1.6700 mS and 53.69 kΩ', () => {
    // Supply, plate and cathode resistor whose load line goes through that point.
    const [current, plateVolts] = [0.951803, 250];
    const cathode = 2 / current;
    const plate = 100;
    const { point } = runTriode({}, new Float32Array(4), RATE, {
      cathode,
      plate,
      supply: plateVolts + 2 + plate * current,
    });
    expect(point.plateVolts).toBeCloseTo(plateVolts, 3);
    expect(point.gridVolts).toBeCloseTo(-2, 4);
    expect(Math.abs(point.current - current)).toBeLessThan(1e-5);
    expect(point.gm).toBeCloseTo(1.67, 4);
    expect(1 / point.gp).toBeCloseTo(53.69, 2);
  });
});

describe('the stage', () => {
  it('stays a circuit as hard as it can be driven, full scale with 24 dB: the plate between its cathode and its supply', () => {
    const random = seededRandom(1);
    for (const volts of [1, 10, 22]) {
      for (const rate of [32_000, 192_000, 384_000]) {
        const input = Float32Array.from({ length: 8000 }, () => volts * (2 * random() - 1));
        const { added, point } = runTriode({ response: 'on' }, input, rate);
        const plate = added.map((value, i) => (value + input[i]) / point.out);
        // The Miller capacitance hands on what the grid is torn by.
        const [most, least] = [Math.max(...plate), Math.min(...plate)];
        expect(most, `${volts} V at ${rate} Hz`).toBeLessThan(250 + 60);
        expect(least, `${volts} V at ${rate} Hz`).toBeGreaterThan(-250 - 60);
      }
    }
  });

  it('leaves aliases of a 5 kHz tone at 0 dB of drive more than 120 dB down', () => {
    for (const sampleRate of [44_100, 48_000, 96_000]) {
      const tone = steadyTone([stage('triode', { coupling: 'dc' })], { frequency: 5000, sampleRate, size: 16384 });
      expect(tone.aliasDbc, `${sampleRate} Hz`).toBeLessThan(-120);
    }
  });

  it('makes even harmonics first, and more of all when it is driven', () => {
    const mild = steadyTone([stage('triode', { coupling: 'dc' })]);
    const hot = steadyTone([stage('triode', { coupling: 'dc', drive: 12 })]);
    expect(dbcOf(mild, 2)).toBeGreaterThan(dbcOf(mild, 3) + 20);
    for (const n of [2, 3, 4]) expect(dbcOf(hot, n), `H${n}`).toBeGreaterThan(dbcOf(mild, n) + 8);
  });

  it('adds nothing linear unless its response is on', () => {
    const at = (frequency: number, response: string) =>
      steadyTone([stage('triode', { response, source: 220 })], { frequency, dbfs: -60, size: 8192 }).fundamentalDbfs ??
      0;
    for (const frequency of [47, 997, 9970]) expect(at(frequency, 'off')).toBeCloseTo(-60, 3);
    // Miller capacitance of about 100 pF behind 180 kΩ (source and leak side by side): a corner near 9 kHz.
    expect(at(9970, 'on')).toBeLessThan(-62);
    expect(at(997, 'on')).toBeCloseTo(-60, 0);
  });

  it('lets its bias follow the level: after a loud burst a soft tone is bent otherwise than before, and comes back', () => {
    const rate = 48000;
    const loud = (i: number) => i >= 24000 && i < 33600;
    const tone = Float32Array.from(
      { length: 96000 },
      (_, i) => (loud(i) ? 2 : 0.02) * Math.sin((2 * Math.PI * 1000 * i) / rate),
    );
    const [out] = runRack(rack([stage('triode', { drive: 6, coupling: 'dc' })]), [tone]);
    const rms = (from: number) => {
      let sum = 0;
      for (let i = from; i < from + 480; i++) sum += (out[i] - tone[i]) ** 2;
      return Math.sqrt(sum / 480);
    };
    const before = rms(20000);
    expect(rms(34100)).toBeGreaterThan(3 * before);
    expect(rms(90000)).toBeLessThan(1.01 * before);
  });
});
