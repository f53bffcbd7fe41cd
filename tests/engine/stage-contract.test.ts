/**
 * What every stage kind promises, whatever it is: the contract in the project's design notes (one contract for every
 * block, "How sound flows"). Kinds come from the catalogue, so a new kind is under it at once.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/dsp/random.ts';
import { dbToGain } from '../../src/dsp/units.ts';
import type { StageConfig } from '../../src/engine/config.ts';
import type { ParameterValue } from '../../src/engine/parameters.ts';
import { rackSettle } from '../../src/engine/settling.ts';
import { stageKinds } from '../../src/engine/stages/catalogue.ts';
import type { StageKind } from '../../src/engine/stages/stage-kind.ts';
import { anyStage, anyStageOf, variantsOf } from '../support/any-stage.ts';
import { rack, runRack, stage } from '../support/rig.ts';
import { steadyTone } from '../support/steady-tone.ts';

const LENGTH = 1500;
/** The same cases in every run; shrinking doubles takes minutes and says little here. */
const RUNS = { numRuns: 12, endOnFailure: true, seed: 20 };

function noise(length: number, amplitude: number, seed: number): Float32Array {
  const random = seededRandom(seed);
  return Float32Array.from({ length }, () => amplitude * (2 * random() - 1));
}

const loud = [noise(LENGTH, 0.9, 1), noise(LENGTH, 0.4, 2)];

function sameBits(a: Float32Array, b: Float32Array): boolean {
  const x = new Uint32Array(a.buffer, a.byteOffset, a.length);
  const y = new Uint32Array(b.buffer, b.byteOffset, b.length);
  return x.every((value, i) => value === y[i]);
}

describe.each(stageKinds.map((kind) => [kind.id, kind] as const))('%s', (_, kind) => {
  it('gives the same bits for any partition into blocks', () => {
    fc.assert(
      fc.property(
        anyStageOf(kind),
        fc.array(fc.integer({ min: 1, max: 128 }), { minLength: 1, maxLength: 40 }),
        (config, sizes) => {
          const whole = runRack(rack([config]), loud);
          const parts = runRack(rack([config]), loud, { blocks: (index) => sizes[index % sizes.length] });
          return sameBits(whole[0], parts[0]) && sameBits(whole[1], parts[1]);
        },
      ),
      RUNS,
    );
  });

  it('after a reset sounds as when new', () => {
    fc.assert(
      fc.property(anyStageOf(kind), (config) => {
        const settings = rack([config]);
        const first = runRack(settings, loud);
        // The same input follows itself; between the two the rack is reset.
        const twice = loud.map((plane) => Float32Array.from([...plane, ...plane]));
        const again = runRack(settings, twice, {
          blocks: () => 125,
          before: (frame, processor) => {
            if (frame === LENGTH) processor.reset(settings);
          },
        });
        return sameBits(first[0].slice(0, LENGTH - 65), again[0].slice(LENGTH, 2 * LENGTH - 65));
      }),
      RUNS,
    );
  });

  it('answers silence with exact silence', () => {
    const silence = [new Float32Array(600), new Float32Array(600)];
    fc.assert(
      fc.property(anyStageOf(kind), (config) => runRack(rack([config]), silence)[0].every((value) => value === 0)),
      { ...RUNS, numRuns: 25 },
    );
  });

  it('comes to rest in silence, in steps that end at nothing', () => {
    fc.assert(
      fc.property(anyStageOf(kind), (config) => {
        // AC coupling of 2 Hz needs 2.3 s for −250 dB; circuits with memory their own time besides.
        const settle = kind.settleSeconds(config.values);
        const input = loud.map((plane) => {
          const out = new Float64Array(LENGTH + Math.round(48000 * (2.3 + 2 * settle)));
          out.set(plane);
          return Float32Array.from(out);
        });
        const [left, right] = runRack(rack([config]), input);
        const end = [...left.slice(-2000), ...right.slice(-2000)];
        return end.every((value) => Math.abs(value) < 1e-7) && left.every(Number.isFinite);
      }),
      { ...RUNS, numRuns: 4 },
    );
  });

  it('stays finite and comes to rest while its parameters jump at every block', () => {
    fc.assert(
      fc.property(fc.array(anyStageOf(kind), { minLength: 2, maxLength: 6 }), (stages) => {
        const settings = stages.map((one) => ({ ...one, key: 'same', on: true }));
        const settle = Math.max(...settings.map(({ values }) => kind.settleSeconds(values)));
        const input = new Float32Array(LENGTH + Math.round(48000 * (2.3 + 2 * settle)));
        input.set(loud[0]);
        let block = 0;
        const [out] = runRack(rack([settings[0]]), [input], {
          before: (frame, processor) => {
            if (frame < LENGTH) processor.set(rack([settings[block++ % settings.length]]));
          },
        });
        return out.every(Number.isFinite) && out.slice(-2000).every((value) => Math.abs(value) < 1e-7);
      }),
      { ...RUNS, numRuns: 4 },
    );
  });

  it('hears nothing of one side in the other', () => {
    const other = noise(LENGTH, 0.7, 3);
    fc.assert(
      fc.property(anyStageOf(kind), (any) => {
        fc.pre(kind.circuit(any.values).channels === 'apart');
        const config = altered(any, { stereo: 0 });
        const one = runRack(rack([config]), loud);
        const another = runRack(rack([config]), [loud[0], other]);
        const silent = runRack(rack([config]), [loud[0], new Float32Array(LENGTH)]);
        return sameBits(one[0], another[0]) && sameBits(one[0], silent[0]) && silent[1].every((value) => value === 0);
      }),
      RUNS,
    );
  });

  it('treats its channels alike', () => {
    fc.assert(
      fc.property(anyStageOf(kind), (any) => {
        // Exchanged channels turn the side over, whose other half an asymmetric circuit bends.
        const config = altered(any, { stereo: 0 });
        const both = runRack(rack([config]), loud);
        const swapped = runRack(rack([config]), [loud[1], loud[0]]);
        return sameBits(both[0], swapped[1]) && sameBits(both[1], swapped[0]);
      }),
      RUNS,
    );
  });

  it.each(
    variantsOf(kind).filter(
      ({ values }) =>
        kind.circuit(stage(kind.id, values).values).level === 'one-percent' &&
        !leavesOutTheTone(kind, values) &&
        !comesOnTop(kind, values),
    ),
  )('makes 1 % THD_F of its tone at -18 dBFS at 0 dB of drive ($name)', ({ values }) => {
    const { thdF } = toneOf(kind, values);
    expect(thdF).toBeGreaterThan(0.0099);
    expect(thdF).toBeLessThan(0.0101);
  });

  it('makes 1 % THD_F of its tone at -18 dBFS at its defaults', () => {
    const { thdF } = toneOf(kind, {});
    expect(thdF).toBeGreaterThan(0.0099);
    expect(thdF).toBeLessThan(0.0101);
  });

  it.each(
    variantsOf(kind).filter(
      ({ values }) => !(Number(values.knee) < 2) && !kind.hasResponse(stage(kind.id, values).values),
    ),
  )('compensates drive: a -80 dBFS tone keeps its level within 0.01 dB ($name)', ({ values }) => {
    const bias = kind.parameters.some(({ id }) => id === 'bias') ? [-100, -40, 0, 100] : [0];
    for (const drive of [-24, 0, 24]) {
      for (const b of bias) {
        const params = { ...values, drive, ...(bias.length > 1 ? { bias: b } : {}) };
        const { fundamentalDbfs } = steadyTone([stage(kind.id, params)], { dbfs: -80, size: 2048 });
        expect(Math.abs((fundamentalDbfs ?? 0) + 80), `drive ${drive} bias ${b}`).toBeLessThan(0.01);
      }
    }
  });

  it.each(
    variantsOf(kind).filter(
      ({ values }) => kind.settleSeconds(stage(kind.id, values).values) === 0 && !leavesOutTheTone(kind, values),
    ),
  )('adds its difference in line with the signal, 65 frames late ($name)', ({ values }) => {
    for (const factor of [4, 8] as const) {
      const config = [stage(kind.id, { ...values, coupling: 'dc', drive: 12 })];
      expect(asymmetry(config, factor), `${factor}x`).toBeLessThan(2e-5);
    }
  });
});

/** A stage that colours only what its tone on both channels isn't. */
function leavesOutTheTone(kind: StageKind, values: Record<string, ParameterValue>): boolean {
  const set = stage(kind.id, values).values;
  const { toneHz } = kind.circuit(set);
  const { band, bandFrom, bandTo } = kind.at;
  const isLeftOut = set[bandFrom] >= 0.4 * toneHz || set[bandTo] < 2.5 * toneHz;
  return (set[band] > 0 && isLeftOut) || values.stereo === 'side';
}

/** A stage with something set that its amount isn't counted with. */
function comesOnTop(kind: StageKind, values: Record<string, ParameterValue>): boolean {
  const { inputs, onTop } = kind.circuit(stage(kind.id, values).values);
  return onTop.some(({ input }) => kind.parameters[inputs[input]].id in values);
}

/** The tone that 0 dB of drive is counted from, at a rate at which a low one is a whole number of periods. */
function toneOf(kind: StageKind, values: Record<string, ParameterValue>) {
  const one = stage(kind.id, values);
  const { toneHz } = kind.circuit(one.values);
  return steadyTone([one], toneHz === 997 ? {} : { frequency: toneHz, sampleRate: 65_536, size: 32_768 });
}

/**
 * A stage is symmetric in time around its latency (linear-phase filters, memoryless curve), so what it adds to an
 * impulse is a pulse symmetric about that frame. Returns the largest deviation against the pulse's peak.
 */
function asymmetry(config: StageConfig[], factor: 4 | 8): number {
  const at = 300;
  const input = new Float32Array(700);
  input[at] = 0.25;
  const polarity = runRack(rack(config), [input], { factor })[0];
  const linear = runRack(rack(config.map((s) => altered(s, { blend: 0 }))), [input], { factor })[0];
  const added = polarity.map((value, i) => value - linear[i]);
  let peak = 0;
  let worst = 0;
  for (let i = 0; i <= 250; i++) {
    peak = Math.max(peak, Math.abs(added[at + i]));
    worst = Math.max(worst, Math.abs(added[at + i] - added[at - i]));
  }
  expect(peak).toBeGreaterThan(1e-6);
  return worst / peak;
}

/** The stage with some of its values replaced, as the engine's numbers. */
function altered(config: StageConfig, changes: Record<string, number>): StageConfig {
  const kind = stageKinds.find(({ id }) => id === config.kind)!;
  return { ...config, values: config.values.map((value, i) => changes[kind.parameters[i].id] ?? value) };
}

describe('a rack of any stages', () => {
  it.each([4, 8] as const)('has a latency of 65 frames with 0 to 8 stages at %sx', (factor) => {
    fc.assert(
      fc.property(fc.array(anyStage(), { maxLength: 8 }), (stages) => {
        const at = 200;
        const input = new Float32Array(500);
        // Far below every knee and not raised by the trims, so that the linear part stands out;
        // a response of its own may turn phases, and with them the peak.
        input[at] = dbToGain(-120);
        const [out] = runRack(rack(stages.map((s) => altered(s, { trimIn: 0, trimOut: 0, response: 0 }))), [input], {
          factor,
        });
        let peak = 0;
        for (let i = 1; i < out.length; i++) if (Math.abs(out[i]) > Math.abs(out[peak])) peak = i;
        expect(peak).toBe(at);
      }),
      RUNS,
    );
  });

  it.each([4, 8] as const)('adds in line with the signal with 8 stages with corners at %sx', (factor) => {
    const knees = [1, 1.5, 3, 6, 20, 100, 1.2, 50];
    const stages = knees.map((knee) => stage('soft-clip', { curve: 'algebraic', knee, drive: 6, coupling: 'dc' }));
    expect(asymmetry(stages, factor)).toBeLessThan(1e-4);
  });

  it('gives finite output for any input and any values', () => {
    const hostile = fc.oneof(
      fc.constantFrom(
        Number.NaN,
        Number.POSITIVE_INFINITY,
        Number.NEGATIVE_INFINITY,
        1e30,
        -1e30,
        1e-40,
        -1e-42,
        0,
        1,
        -1,
      ),
      fc.float({ noNaN: false }),
    );
    fc.assert(
      fc.property(
        fc.array(anyStage(), { minLength: 1, maxLength: 8 }),
        fc.array(hostile, { minLength: 1, maxLength: 60 }),
        (stages, samples) => {
          const input = new Float32Array(800);
          for (let i = 0; i < 300; i++) input[i] = samples[i % samples.length];
          const [out] = runRack(rack(stages), [input]);
          return out.every(Number.isFinite);
        },
      ),
      { ...RUNS, numRuns: 60 },
    );
  });

  it('stays finite with every stage at +48 dB of trims, with and without its curve', () => {
    for (const kind of stageKinds) {
      for (const blend of [0, 100]) {
        for (const drive of [-24, 24]) {
          const stages = Array.from({ length: 8 }, () =>
            stage(kind.id, { trimIn: 24, trimOut: 24, blend, drive, tilt: 12 }),
          );
          const [out] = runRack(rack(stages, 4), [Float32Array.from(loud[0], (x) => 1e30 * x)]);
          expect(out.every(Number.isFinite), `${kind.id} ${blend} ${drive}`).toBe(true);
        }
      }
    }
  });

  it('recovers from hostile input: a sound after it comes out as it would have', () => {
    fc.assert(
      fc.property(fc.array(anyStage(), { minLength: 1, maxLength: 4 }), (stages) => {
        const coupled = stages.map((s) => altered(s, { coupling: 1, tilt: 0 }));
        const at = 1300 + Math.round(48000 * rackSettle(rack(coupled)));
        const input = new Float32Array(at + 700);
        input.set(loud[0].subarray(0, 600), at);
        const clean = runRack(rack(coupled), [input])[0];
        for (let i = 0; i < 40; i++) input[i] = i % 2 ? Number.NaN : 1e30;
        const after = runRack(rack(coupled), [input])[0];
        // Emphasis has a memory of up to 1/(2π·25 Hz); everything else forgets within the filters' length.
        return clean
          .slice(at, at + 600)
          .every((value, i) => Math.abs(value - after[at + i]) <= 1e-3 * Math.max(1, Math.abs(value)));
      }),
      RUNS,
    );
  });
});
