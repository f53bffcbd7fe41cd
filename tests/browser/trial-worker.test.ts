/** Sounds of a blind trial from the real workers: the same bits from one as from several, refusals as sentences, and cancel. */
import { expect } from '@open-wc/testing';
import { exportSides } from '../../src/export/export-document.ts';
import type { TrialRequest } from '../../src/measure/trial/trial-set.ts';
import { TrialError } from '../../src/measure/trial/trial-set.ts';
import { sideRacks } from '../../src/session/effective.ts';
import { renderTrialSounds } from '../../src/workers/trial-client.ts';
import { oneChannel, rackOf, sameBits, stageOf, whiteNoise } from '../measure/sessions.ts';

const RATE = 22050;

function request(more: Partial<TrialRequest> = {}): TrialRequest {
  const document = oneChannel(rackOf(stageOf('soft-clip', { drive: 10, bias: 30 })), RATE);
  // A view of something longer, as the session's own recordings may be.
  const plane = whiteNoise(20 * RATE, 0.05, 5).subarray(RATE, 9 * RATE);
  return {
    document: exportSides(document).b,
    loops: new Map([['one', [plane]]]),
    settings: [
      { id: 'clean', name: 'Clean', racks: sideRacks(document, 'a') },
      { id: 'current', name: 'Coloured', racks: sideRacks(document, 'b') },
    ],
    different: [['clean', 'current']],
    overdriven: ['clean', 'current'],
    headroomDb: 1,
    ...more,
  };
}

function cores(count: number): void {
  Object.defineProperty(navigator, 'hardwareConcurrency', { configurable: true, get: () => count });
}

async function refusal(promise: Promise<unknown>): Promise<unknown> {
  return promise.then(
    () => null,
    (fault: unknown) => fault,
  );
}

describe('workers of blind trials', () => {
  afterEach(() => {
    Reflect.deleteProperty(navigator, 'hardwareConcurrency');
  });

  it('give the same bits whether there is one or several', async () => {
    const render = async (count: number) => {
      cores(count);
      const shares: number[] = [];
      const made = await renderTrialSounds(request(), (share) => shares.push(share), new AbortController().signal);
      expect(shares).to.deep.equal([...shares].sort((a, b) => a - b));
      expect(shares.at(-1)).to.equal(1);
      return { made, steps: shares.length };
    };
    const [one, several] = [await render(2), await render(8)];
    expect(one.made.sounds.map(({ id, overdriven }) => `${id} ${overdriven}`)).to.deep.equal([
      'clean false',
      'current false',
      'clean true',
      'current true',
    ]);
    for (const [i, { planes, ...facts }] of several.made.sounds.entries()) {
      const { planes: known, ...expected } = one.made.sounds[i]!;
      expect(facts).to.deep.equal(expected);
      expect(planes[0]!.length).to.equal(8 * RATE);
      expect(planes.every((plane, side) => sameBits(plane, known[side]!))).to.equal(true);
    }
    expect({ ...several.made, sounds: [] }).to.deep.equal({ ...one.made, sounds: [] });
    expect(one.made.canCatch).to.equal(true);
  });

  it('refuse with the sentence, from whichever of them', async () => {
    cores(8);
    const silent = new Map([['one', [new Float32Array(9 * RATE)]]]);
    const fault = await refusal(
      renderTrialSounds(request({ loops: silent }), () => undefined, new AbortController().signal),
    );
    expect(fault).to.be.instanceOf(TrialError);
    expect((fault as Error).message).to.match(/There is no sound in this loop/);
    const twice = request().settings[0]!;
    const same = await refusal(
      renderTrialSounds(
        request({ settings: [twice, { ...twice, id: 'current', name: 'Coloured' }] }),
        () => undefined,
        new AbortController().signal,
      ),
    );
    expect((same as Error).message).to.match(/Both sides are the same sound/);
  });

  it('stop when they are told to', async () => {
    const control = new AbortController();
    const running = refusal(renderTrialSounds(request(), () => undefined, control.signal));
    control.abort(new Error('given up'));
    expect(((await running) as Error).message).to.equal('given up');
  });
});
