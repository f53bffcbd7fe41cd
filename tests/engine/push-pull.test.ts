/**
 * The push-pull pair: ngspice on the same netlist, the second harmonic of two unlike drives by Koren's equation alone, and
 * what it promises as a stage.
 */
import { afterAll, describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/dsp/random.ts';
import { pushPull } from '../../src/engine/stages/push-pull.ts';
import { runCircuit } from '../support/circuit-rig.ts';
import { koren } from '../support/koren.ts';
import { hasNgspice, transient } from '../support/oracle-ngspice.ts';
import { stage } from '../support/rig.ts';
import { dbcOf, steadyTone } from '../support/steady-tone.ts';

const RATE = 192_000;
const figures: string[] = [];
afterAll(() => console.log(figures.join('\n')));

interface Values {
  readonly idle: number;
  readonly uneven: number;
}

/** Half the difference of the plates from rest, volts, and what the valves are at rest. */
function plates(values: Values, input: Float32Array, beyond: Record<string, number> = {}) {
  const { added, coefficients } = runCircuit(pushPull, { ...values, response: 'on' }, input, RATE, beyond);
  const [plateVolts, gridVolts, , , out] = coefficients;
  return { plate: Float64Array.from(added, (value, i) => (value + input[i]) / out), plateVolts, gridVolts };
}

const valve = (
  plate: string,
  grid: string,
  name: string,
) => `Bx${name} x${name} 0 V=600*(0.01+V(${grid})/sqrt(300+V(${plate})*V(${plate})))
Bp${name} ${plate} 0 I=2*(max(V(${plate}),0)/600*(V(x${name})>40 ? V(x${name}) : ln(1+exp(min(V(x${name}),40)))))^1.4/1060`;

/** The ideal transformer: both halves of the primary have the voltage w, into which the difference of their currents flows. */
const netlist = (gridVolts: number, { uneven }: Values, source: string) => `${source}
Bs1 s1 0 V=${gridVolts}+${1 + uneven / 200}*V(in)
Bs2 s2 0 V=${gridVolts}-${1 - uneven / 200}*V(in)
Rs1 s1 g1 47k
Rs2 s2 g2 47k
Cm1 g1 p1 1.7p
Cm2 g2 p2 1.7p
${valve('p1', 'g1', 'a')}
${valve('p2', 'g2', 'b')}
Ew1 q1 t 0 w 1
Ew2 q2 t w 0 1
Vj1 q1 p1 0
Vj2 q2 p2 0
Fw1 0 w Vj1 1
Fw2 w 0 Vj2 1
Rw w 0 37.5k
Lw w 0 1e6
Rb vb t 4.7k
Cb t 0 4.7u
Vb vb 0 250`;

describe.skipIf(!hasNgspice)('against ngspice on the same netlist', () => {
  const cases: [number, number, Values][] = [];
  for (const hz of [100, 1000, 5000])
    for (const volts of [0.3, 1, 2]) cases.push([hz, volts, { idle: 0.5, uneven: 0 }]);
  cases.push([1000, 1, { idle: 0.15, uneven: 0 }], [1000, 1, { idle: 0.5, uneven: 20 }]);
  it.each(cases)("stays within 1 % of the plates' peak at %s Hz, %s V, %o", (hz, volts, values) => {
    const seconds = 0.03;
    const input = Float32Array.from(
      { length: RATE * seconds },
      (_, i) => volts * Math.sin((2 * Math.PI * hz * i) / RATE),
    );
    const { plate, gridVolts } = plates(values, input);
    const expected = transient(netlist(gridVolts, values, `Vin in 0 SIN(0 ${volts} ${hz})`), 'w', RATE, seconds);
    let [worst, peak] = [0, 0];
    // A sine that starts has a corner, which no sampled circuit follows within its first frames.
    for (let i = Math.round(0.0002 * RATE); i < plate.length; i++) {
      peak = Math.max(peak, Math.abs(expected[i]));
      worst = Math.max(worst, Math.abs(-plate[i] - expected[i]));
    }
    figures.push(
      `${hz} Hz ${volts} V, ${values.idle} mA, ${values.uneven} %: peak ${peak.toFixed(2)} V, off by ${((100 * worst) / peak).toFixed(4)} %`,
    );
    expect(worst).toBeLessThan(0.01 * peak);
  });
});

describe('its harmonics', () => {
  it('cancel where they are even, as long as both sides are alike', () => {
    for (const drive of [-12, 0, 12]) {
      for (const idle of [0.15, 0.5, 1.2]) {
        const tone = steadyTone([stage('push-pull-pair', { drive, idle, coupling: 'dc' })]);
        for (const n of [2, 4, 6]) expect(dbcOf(tone, n), `${drive} dB, ${idle} mA, H${n}`).toBeLessThan(-80);
        expect(dbcOf(tone, 3)).toBeGreaterThan(-80);
      }
    }
  });

  // The difference of two Koren curves: at a load so small that the plates stand still no load line is needed.
  it.each([
    [5, 0.2],
    [5, 0.8],
    [20, 0.2],
    [20, 0.8],
  ])('of %s % uneven at %s V are the second of the difference of two Koren curves, within 0.1 dB', (uneven, volts) => {
    const hz = 375;
    const period = RATE / hz;
    const length = 20 * period;
    const input = Float32Array.from({ length }, (_, i) => volts * Math.cos((2 * Math.PI * i) / period));
    const stiff = { load: 0.01, supplyResistance: 1e-3, source: 0.01 };
    const { plate, plateVolts, gridVolts } = plates({ idle: 0.5, uneven }, input, stiff);
    const harmonic = (wave: (i: number) => number, n: number) => {
      let [re, im] = [0, 0];
      for (let i = 0; i < period; i++) {
        re += wave(i) * Math.cos((2 * Math.PI * n * i) / period);
        im += wave(i) * Math.sin((2 * Math.PI * n * i) / period);
      }
      return Math.hypot(re, im);
    };
    const curve = (i: number) => {
      const u = volts * Math.cos((2 * Math.PI * i) / period);
      return (
        koren(gridVolts + (1 + uneven / 200) * u, plateVolts) - koren(gridVolts - (1 - uneven / 200) * u, plateVolts)
      );
    };
    const last = (i: number) => plate[length - period + i];
    const measured = 20 * Math.log10(harmonic(last, 2) / harmonic(last, 1));
    const expected = 20 * Math.log10(harmonic(curve, 2) / harmonic(curve, 1));
    figures.push(`${uneven} % at ${volts} V: H2 ${measured.toFixed(3)} dBc, by Koren ${expected.toFixed(3)} dBc`);
    expect(Math.abs(measured - expected)).toBeLessThan(0.1);
  });
});

describe('the stage', () => {
  it('stays a circuit however hard it is driven: no plate beyond its cathode', () => {
    const random = seededRandom(1);
    for (const idle of [0.1, 0.5, 1.2]) {
      for (const volts of [1, 10, 300]) {
        for (const rate of [32_000, 192_000, 384_000]) {
          const input = Float32Array.from({ length: 4000 }, () => volts * (2 * random() - 1));
          const { added, coefficients } = runCircuit(pushPull, { idle, response: 'on' }, input, rate);
          for (let i = 0; i < input.length; i++) {
            expect(Math.abs((added[i] + input[i]) / coefficients[4])).toBeLessThan(251);
          }
        }
      }
    }
  });

  it('leaves aliases of a 5 kHz tone at 0 dB of drive more than 110 dB down', () => {
    for (const sampleRate of [44_100, 48_000, 96_000]) {
      const tone = steadyTone([stage('push-pull-pair', { coupling: 'dc' })], {
        frequency: 5000,
        sampleRate,
        size: 16384,
      });
      expect(tone.aliasDbc, `${sampleRate} Hz`).toBeLessThan(-110);
    }
  });

  it('is bent the least in class A, and has a gap for soft sound where little flows at rest', () => {
    // Third harmonic against level: from a curve it falls 12 dB with 6 dB; from a gap it hardly does.
    const third = (idle: number, drive: number) =>
      dbcOf(steadyTone([stage('push-pull-pair', { idle, drive, coupling: 'dc' })]), 3);
    expect(stage('push-pull-pair', { idle: 1.2 }).amplitude).toBeGreaterThan(
      5 * stage('push-pull-pair', { idle: 0.1 }).amplitude,
    );
    expect(third(0.1, 12) - third(0.1, 0)).toBeLessThan(20);
    expect(third(0.8, 12) - third(0.8, 0)).toBeGreaterThan(20);
  });

  it('lets its supply sag: after a loud burst it takes its time to come back', () => {
    const seconds = 0.3;
    const burst = 0.15;
    const input = Float32Array.from({ length: RATE * seconds }, (_, i) => {
      const loud = i < burst * RATE ? 2 : 0.1;
      return loud * Math.sin((2 * Math.PI * 1000 * i) / RATE);
    });
    const values = { idle: 0.3, uneven: 0, supplyResistance: 22, reservoir: 1 };
    const { plate } = plates(values, input);
    const rms = (from: number) => {
      let sum = 0;
      for (let i = 0; i < 1920; i++) sum += plate[Math.round(from * RATE) + i] ** 2;
      return Math.sqrt(sum / 1920);
    };
    const before = rms(0.29);
    expect(Math.abs(rms(burst + 0.005) / before - 1)).toBeGreaterThan(0.02);
    expect(Math.abs(rms(burst + 0.12) / before - 1)).toBeLessThan(0.002);
  });

  it('adds nothing linear unless its response is on', () => {
    const at = (frequency: number, response: string) =>
      steadyTone([stage('push-pull-pair', { response, source: 220 })], { frequency, dbfs: -60, size: 8192 })
        .fundamentalDbfs ?? 0;
    for (const frequency of [47, 997, 9970]) expect(at(frequency, 'off')).toBeCloseTo(-60, 3);
    expect(at(9970, 'on')).toBeLessThan(-62);
    expect(at(997, 'on')).toBeCloseTo(-60, 0);
  });
});
