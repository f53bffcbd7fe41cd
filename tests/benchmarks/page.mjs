/**
 * What runs in the browser: a second after another of stereo noise through native WaveShaperNodes with oversample '4x',
 * and through one AudioWorkletNode with the engine's rack, each in an OfflineAudioContext, in turn.
 */
import { seededRandom } from '../../src/dsp/random.ts';
import { stageConfig } from '../../src/engine/calibration.ts';
import { kernelBytes } from '../../src/engine/kernels.ts';
import { toNumber } from '../../src/engine/parameters.ts';
import { pushPull } from '../../src/engine/stages/push-pull.ts';
import { softClip } from '../../src/engine/stages/soft-clip.ts';
import { tape } from '../../src/engine/stages/tape.ts';
import { transformer } from '../../src/engine/stages/transformer.ts';
import { triode } from '../../src/engine/stages/triode.ts';

const RATE = 48000;
/** Two lengths: the difference of their times leaves out starting up, compiling and calibrating. */
const SHORT = 4;
const LONG = 16;
const WARM_UP = 120;

function noise(context, seconds) {
  const random = seededRandom(9);
  const buffer = context.createBuffer(2, RATE * seconds, RATE);
  for (const channel of [0, 1]) {
    const data = buffer.getChannelData(channel);
    for (let i = 0; i < data.length; i++) data[i] = 0.2 * (random() - 0.5);
  }
  const source = context.createBufferSource();
  source.buffer = buffer;
  source.start();
  return source;
}

function native(context, count) {
  const curve = Float32Array.from({ length: 4097 }, (_, i) => Math.tanh((i - 2048) / 512) / 4);
  return Array.from({ length: count }, () => {
    const shaper = context.createWaveShaper();
    shaper.curve = curve;
    shaper.oversample = '4x';
    return shaper;
  });
}

/** Compiled once, so that its optimised code is kept from one rendering to the next. */
const module = new WebAssembly.Module(kernelBytes());

/** Stages of a kind at its defaults. */
function stagesOf(kind, count) {
  const values = kind.parameters.map((parameter) => toNumber(parameter, parameter.default));
  return Array.from({ length: count }, (_, i) => stageConfig(kind, { key: String(i), on: true, values }));
}

async function engine(context, stages, code) {
  await context.audioWorklet.addModule(code);
  const processorOptions = { stages, module };
  return [new AudioWorkletNode(context, 'bench-rack', { outputChannelCount: [2], processorOptions })];
}

async function render(graph, seconds) {
  const context = new OfflineAudioContext(2, RATE * seconds, RATE);
  let last = noise(context, seconds);
  for (const node of await graph(context)) last = last.connect(node);
  last.connect(context.destination);
  const start = performance.now();
  const rendered = await context.startRendering();
  const time = (performance.now() - start) / 1000;
  const power = rendered.getChannelData(0).reduce((sum, value) => sum + value * value, 0);
  if (!(power > 1)) throw new Error('Nothing came out of the bench.');
  return time;
}

/**
 * Seconds of work per second of sound, from the best times of `rounds` at either length; the alternatives take turns, so
 * that the machine is the same to all.
 */
export async function measure(code, rounds) {
  const graphs = {
    none: () => [],
    native: (context) => native(context, 3),
    engine: (context) => engine(context, stagesOf(softClip, 3), code),
    triode: (context) => engine(context, stagesOf(triode, 3), code),
    transformer: (context) => engine(context, stagesOf(transformer, 3), code),
    tape: (context) => engine(context, stagesOf(tape, 3), code),
    'push-pull pair': (context) => engine(context, stagesOf(pushPull, 3), code),
    empty: (context) => engine(context, [], code),
  };
  const best = {};
  // Long enough for the kernels to be compiled by the better of V8's two compilers.
  for (const graph of Object.values(graphs)) await render(graph, WARM_UP);
  for (let i = 0; i < rounds; i++) {
    for (const [name, graph] of Object.entries(graphs)) {
      const [short, long] = best[name] ?? [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
      best[name] = [Math.min(short, await render(graph, SHORT)), Math.min(long, await render(graph, LONG))];
    }
  }
  return Object.fromEntries(
    Object.entries(best).map(([name, [short, long]]) => [name, (long - short) / (LONG - SHORT)]),
  );
}

Object.assign(globalThis, { measure });
