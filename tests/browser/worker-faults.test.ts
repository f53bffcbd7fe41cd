/** Real workers that are killed: the analysis, the live analyser and the reading of files come back once, then say what to do. */
import { expect } from '@open-wc/testing';
import type { AudioData } from '../../src/files/audio-data.ts';
import { writeWav } from '../../src/files/wav.ts';
import { emptySession, newChannel, type SessionDocument } from '../../src/session/document.ts';
import type { LiveFrame } from '../../src/stores/live-store.ts';
import { rack, stage } from './fixture/session.ts';

const RATE = 48_000;
const made: Worker[] = [];
const looks: (() => void)[] = [];
const ours = { Worker: globalThis.Worker, setInterval: globalThis.setInterval };
/** Workers that are still to be started as others, which end at once and without a word. */
let dead = 0;

/** Every worker is seen by the test; one that nobody looks at by the clock is looked at by the test. */
class Seen extends ours.Worker {
  constructor(url: string | URL, options?: WorkerOptions) {
    super(dead > 0 ? URL.createObjectURL(new Blob(['close()'])) : url, options);
    dead = Math.max(0, dead - 1);
    made.push(this);
  }
}

/** Something that none of our workers knows what to do with: it throws. */
const kill = (worker: Worker | undefined) => worker?.postMessage({ type: 'note', name: 'nonsense', note: null });

async function until(holds: () => boolean): Promise<void> {
  while (!holds()) await new Promise((resolve) => setTimeout(resolve, 5));
}

function session(drive: number): SessionDocument {
  const strip = { rack: rack([stage('s', 'soft-clip', { drive, bias: 30 })]) };
  return { ...emptySession(RATE), channels: [newChannel('reeds', 'Reeds', strip)] };
}
const tone = (seconds: number) =>
  Float32Array.from({ length: seconds * RATE }, (_, i) => 0.2 * Math.sin((2 * Math.PI * 220 * i) / RATE));

before(() => {
  // Before the clients load: they take Worker as it is then. What the page's own errors are is the test's affair.
  globalThis.Worker = Seen;
  globalThis.setInterval = ((look: () => void) => looks.push(look)) as unknown as typeof setInterval;
  const { onerror } = globalThis;
  globalThis.onerror = (...told) => (String(told[0]).includes('is not a function') ? true : onerror?.(...told));
});
after(() => Object.assign(globalThis, ours));
beforeEach(() => {
  made.length = 0;
  looks.length = 0;
});

describe('a worker that is killed', () => {
  it('in the middle of an analysis is replaced, and the figures are those of the session', async () => {
    const { AnalysisClient } = await import('../../src/workers/analysis-client.ts');
    const faults: string[] = [];
    const analysis = new AnalysisClient({
      provisional: () => undefined,
      matched: () => undefined,
      fault: (text) => faults.push(text),
    });
    const sounds = new Map([['reeds', [tone(3)]]]);
    analysis.load(session(0), sounds);
    await until(() => analysis.status === 'idle');
    const known = analysis.rack('reeds')?.match;
    analysis.load(session(0), sounds);
    kill(made[0]);
    await until(() => analysis.status === 'idle');
    expect([made.length, faults]).to.deep.equal([2, []]);
    expect(analysis.rack('reeds')?.match).to.deep.equal(known);
    // Whatever kills it kills it again.
    analysis.update(session(6), sounds, 'reeds');
    kill(made[1]);
    await until(() => made.length === 3);
    kill(made[2]);
    await until(() => analysis.status === 'failed');
    expect(faults).to.have.length(1);
    expect(faults[0]).to.match(/The analysis stopped twice.*reload the page/);
  });

  it('behind the live analyser is replaced, and says so when it is killed again', async () => {
    const { Live } = await import('../../src/audio/live.ts');
    let back = 0;
    const live = new Live(() => back++);
    live.reset('reeds');
    const frames: (LiveFrame | null)[] = [];
    live.onFrame((frame) => frames.push(frame));
    const play = async () => {
      const before = back;
      live.push(new Float32Array(4 * 2048).buffer, RATE, { at: 0, settings: 1 });
      await until(() => back > before);
    };
    await play();
    kill(made[0]);
    await until(() => made.length === 2);
    await play();
    expect(frames.map((frame) => frame?.rackId)).to.deep.equal(['reeds', 'reeds']);
    kill(made[1]);
    await until(() => live.fault !== null);
    expect(live.fault).to.match(/The analyser stopped twice.*reload the page/);
    await play();
    expect(frames.at(-1)).to.equal(null);
  });

  it('or ends without a word while it reads a file is missed, and the file is read', async () => {
    const { readWavAside } = await import('../../src/audio/read-wav.ts');
    const audio: AudioData = { channels: [tone(30)], sampleRate: RATE };
    const bytes = writeWav(audio, { bits: 'float' }) as Uint8Array<ArrayBuffer>;
    const aMinute = () => {
      for (let look = 0; look <= 60; look++) looks[0]?.();
    };
    dead = 1;
    const reading = readWavAside(bytes);
    aMinute();
    expect(made).to.have.length(2);
    const { channels } = await reading;
    expect(channels[0]).to.deep.equal(audio.channels[0]);

    looks.length = 0;
    dead = 2;
    const again = readWavAside(bytes).catch(({ message }) => message);
    aMinute();
    aMinute();
    expect(await again).to.match(/Reading it was started twice.*Close other tabs/);
  });
});
