/**
 * The player of blind trials on a live audio context. Not in Firefox: without a click it keeps such a context asleep,
 * whatever its settings say.
 */
import { expect } from '@open-wc/testing';
import type { Interruption } from '../../src/audio/interruptions.ts';
import type { TrialPair } from '../../src/audio/trial-graph.ts';
import { TrialPlayer } from '../../src/audio/trial-player.ts';

const RATE = 48000;
const sound = () => ({ planes: [0, 1].map(() => new Float32Array(RATE / 4).fill(0.1)), extraGainDb: 0 });

describe('player of trials', () => {
  const pair: TrialPair = { slots: { first: sound(), second: sound(), x: null }, level: 0.001 };
  let told: Interruption[] = [];
  let player: TrialPlayer;

  beforeEach(async () => {
    told = [];
    player = new TrialPlayer((reason) => told.push(reason));
    await player.open(RATE);
    player.start(pair, player.now + 0.05);
  });
  afterEach(() => player.close());

  it('runs on the device clock and opens once for all pairs', async () => {
    const before = player.now;
    player.hear('second');
    await later(150);
    expect(player.now).to.be.above(before);
    await player.open(RATE);
    expect(player.now).to.be.above(before);
    player.stop();
    expect(told).to.deep.equal([]);
  });

  it('tells once when the page is hidden or a device comes or goes, and nothing between pairs', async () => {
    Object.defineProperty(document, 'hidden', { configurable: true, get: () => true });
    document.dispatchEvent(new Event('visibilitychange'));
    document.dispatchEvent(new Event('visibilitychange'));
    Reflect.deleteProperty(document, 'hidden');
    expect(told).to.deep.equal(['tab-hidden']);
    navigator.mediaDevices.dispatchEvent(new Event('devicechange'));
    expect(told).to.deep.equal(['tab-hidden']);
    player.start(pair, player.now + 0.05);
    navigator.mediaDevices.dispatchEvent(new Event('devicechange'));
    expect(told).to.deep.equal(['tab-hidden', 'device-changed']);
  });

  it('tells when the sound is put to sleep, and wakes it for the next pair', async () => {
    const connect = AudioNode.prototype.connect as (this: AudioNode, ...args: unknown[]) => unknown;
    let context: BaseAudioContext | null = null;
    (AudioNode.prototype as { connect: unknown }).connect = function (this: AudioNode, ...args: unknown[]) {
      context = this.context;
      return connect.apply(this, args);
    };
    player.start(pair, player.now + 0.05);
    (AudioNode.prototype as { connect: unknown }).connect = connect;
    await (context as unknown as AudioContext).suspend();
    await later(50);
    expect(told).to.deep.equal(['sound-interrupted']);
    await player.open(RATE);
    player.start(pair, player.now + 0.05);
    await later(100);
    expect(told).to.deep.equal(['sound-interrupted']);
  });

  it('lets nothing of what it plays be read', () => {
    expect(Object.keys(player)).to.deep.equal([]);
    expect(JSON.stringify(player)).to.equal('{}');
  });
});

function later(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms));
}
