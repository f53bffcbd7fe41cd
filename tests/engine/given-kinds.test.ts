/** Kinds are given to an engine: a builder brings a kind of their own, and one that can't work is refused when it is made. */
import { describe, expect, it } from 'vitest';
import { stageConfig } from '../../src/engine/calibration.ts';
import { EngineContext } from '../../src/engine/engine-context.ts';
import { defaultValues, toNumber } from '../../src/engine/parameters.ts';
import { withCommon } from '../../src/engine/stages/common-parameters.ts';
import { softClip } from '../../src/engine/stages/soft-clip.ts';
import { type CircuitFacts, type StageKind, stageKind } from '../../src/engine/stages/stage-kind.ts';
import { freshKernels, rack, runRack, stage } from '../support/rig.ts';

const tone = (frequency: number, frames = 2400) =>
  Float32Array.from({ length: frames }, (_, i) => 0.3 * Math.sin((2 * Math.PI * frequency * i) / 48000));

/** A soft clip of a builder's own, on the kernel that is there. */
function ownKind(facts: CircuitFacts, settle = 0): StageKind {
  const { parameters } = softClip;
  const own = stageKind({
    id: 'own',
    label: 'Own',
    about: 'A kind that no catalogue has.',
    suits: 'For tests.',
    // The soft clip's declaration has lost its literal types by now; the inputs are there.
    parameters: parameters as readonly ((typeof parameters)[number] & { id: 'bias' | 'knee' })[],
    circuits: { tanh: facts },
    kernel: () => 'tanh' as const,
    settleSeconds: () => settle,
  });
  return own;
}

function configOf(kind: StageKind) {
  const values = defaultValues(kind.parameters);
  return stageConfig(kind, { key: 'own', on: true, values: kind.parameters.map((p) => toNumber(p, values[p.id])) });
}

describe('a kind that is given', () => {
  it('runs like one of the catalogue', () => {
    const kind = ownKind({});
    const given = runRack(rack([configOf(kind)]), [tone(500), tone(900)], { kinds: [kind] });
    expect(given).toEqual(runRack(rack([stage('soft-clip')]), [tone(500), tone(900)]));
  });

  it('works on middle and side where it says so', () => {
    const kind = ownKind({ channels: 'middle-side' });
    const config = rack([configOf(kind)]);
    // What is only in the middle stays there, √2 louder to the curve.
    const [left, right] = runRack(config, [tone(500), tone(500)], { kinds: [kind] });
    expect(left).toEqual(right);
    // A sound on one side is heard in the other, which the contract test's kinds must not do.
    const beside = runRack(config, [tone(500), tone(900)], { kinds: [kind] });
    const alone = runRack(config, [new Float32Array(2400), tone(900)], { kinds: [kind] });
    expect(Math.max(...alone[1].map((value, i) => Math.abs(value - beside[1][i])))).toBeGreaterThan(1e-3);
  });

  it('passes stages of a kind that it was not given', () => {
    const kind = ownKind({});
    const [left] = runRack(rack([stage('diode-pair', { drive: 12 }), stage('soft-clip')]), [tone(500)], {
      kinds: [kind],
    });
    expect(left).toEqual(tone(500));
  });

  it('is waited for after a change as long as it needs', () => {
    const frames = 9600;
    const heardAt = (settle: number) => {
      const kind = ownKind({}, settle);
      let isSet = false;
      const [out] = runRack(rack([]), [tone(500, frames)], {
        kinds: [kind],
        before: (_, processor) => {
          if (!isSet) processor.set(rack([configOf(kind)]));
          isSet = true;
        },
      });
      const plain = tone(500, frames);
      return out.findIndex((value, i) => Math.abs(value - plain[i]) > 1e-5);
    };
    expect(heardAt(0.1) - heardAt(0)).toBeGreaterThan(4700);
    expect(heardAt(0.1) - heardAt(0)).toBeLessThan(4900);
  });
});

describe('a kind that cannot work', () => {
  const made = (kinds: readonly StageKind[]) => () => new EngineContext(freshKernels(), 48000, 4, -18, false, kinds);

  it('is refused where eight of it would be too late for a rack', () => {
    expect(made([ownKind({ delayFrames: 1 })])).not.toThrow();
    // Two of its own and six of the integral over time, in a rack of hard-driven curves.
    expect(made([ownKind({ delayFrames: 2 })])).toThrow(
      'The stage kind "own" is 8 frames late; 8 of them don\'t fit a rack, which has 62. Make it at most 7.',
    );
    expect(made([ownKind({ delayFrames: 6 })])).toThrow(
      'The stage kind "own" is 6 frames late; 8 of them don\'t fit a rack, which has 42. Make it at most 5.',
    );
  });

  it('is refused with the id of another', () => {
    expect(made([ownKind({}), ownKind({})])).toThrow(/same id/);
  });

  it('does not compile with an id that is not there', () => {
    const parameters = withCommon([]);
    const broken = () =>
      // @ts-expect-error the kernel wants a bias and a knee, which the declaration lacks
      stageKind({
        id: 'x',
        label: 'X',
        about: 'X.',
        suits: 'For tests.',
        parameters,
        circuits: { tanh: {} },
        kernel: () => 'tanh' as const,
      });
    const mistyped = () =>
      stageKind({
        id: 'x',
        label: 'X',
        about: 'X.',
        suits: 'For tests.',
        parameters: withCommon([]),
        circuits: {},
        // @ts-expect-error no parameter of this id
        kernel: (values, at) => values[at.drvie] as never,
      });
    expect([broken, mistyped]).toHaveLength(2);
  });
});
