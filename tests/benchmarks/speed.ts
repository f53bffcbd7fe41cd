/** Prints what racks cost in Node, always as a ratio to something in the same run. */
import { stageKinds } from '../../src/engine/stages/catalogue.ts';
import { stage } from '../support/rig.ts';
import { simdPeak } from './peak.ts';
import { PlainRack } from './plain-rack.ts';
import { RATE, secondOf } from './rack-runner.ts';
import { bestOf, row, warmUp } from './timing.ts';

const ROUNDS = 25;

function time(work: () => void): number {
  warmUp(work);
  return bestOf(ROUNDS, work);
}

const three = (kind: string, params: Record<string, number | string> = {}) =>
  Array.from({ length: 3 }, () => stage(kind, params));

const tanh = time(secondOf(three('soft-clip')));
let missed = 0;

console.log('\nCost in Node, processor time, best of rounds\n');
row(
  'three tanh soft clips at 4x',
  `${((1e9 * tanh) / RATE).toFixed(1)} ns`,
  'a stereo frame: the baseline of what follows',
);
const algebraic = (knee: number) => three('soft-clip', { curve: 'algebraic', knee });
/** The most that a curve may cost. */
const MOST = 4;
const variants: [string, () => void, number?][] = [
  ['an empty rack', secondOf([])],
  ['six tanh', secondOf([...three('soft-clip'), ...three('soft-clip')])],
  ['three tanh at 8x', secondOf(three('soft-clip'), { factor: 8 })],
  ['three tanh with bias', secondOf(three('soft-clip', { bias: 30 })), MOST],
  ['three tanh with emphasis', secondOf(three('soft-clip', { tilt: 6 }))],
  ['three arctangent', secondOf(three('soft-clip', { curve: 'arctangent' })), MOST],
  ['three cubic', secondOf(three('soft-clip', { curve: 'cubic' })), MOST],
  ...[1, 1.2, 1.5, 1.9, 2, 3, 6, 20, 60].map((p): [string, () => void, number] => [
    `three algebraic, p = ${p}`,
    secondOf(algebraic(p)),
    MOST,
  ]),
  ['three hard clips', secondOf(algebraic(100)), MOST],
  ['three harmonic sets', secondOf(three('harmonic-set')), MOST],
  ['three diode pairs', secondOf(three('diode-pair')), MOST],
  ['three diode pairs of 2 and 3, biased', secondOf(three('diode-pair', { up: '2', down: '3', bias: 30 })), MOST],
  ['three triodes', secondOf(three('triode'))],
  ['three push-pull pairs', secondOf(three('push-pull-pair'))],
  ['three transformers', secondOf(three('transformer'))],
  ['three tapes', secondOf(three('tape'))],
  ['three under-biased tapes', secondOf(three('tape', { underBias: 20 }))],
];
let dearest: [string, number] = ['', 0];
for (const [name, work, limit] of variants) {
  const ratio = time(work) / tanh;
  if (limit && ratio > limit) missed++;
  if (limit && ratio > dearest[1]) dearest = [name, ratio];
  const verdict = limit ? `, at most ${limit} [2]: ${ratio > limit ? 'MISSED' : 'kept'}` : '';
  row(name, `${ratio.toFixed(2)} x`, `of three tanh${verdict}`);
}

const racks = 13;
const realTime = 1 / time(secondOf(three('soft-clip'), { racks }));
if (realTime < 4) missed++;
row(
  `${racks} racks of three tanh`,
  `${realTime.toFixed(1)} x`,
  `real time on one core: at least 4 [10], ${realTime < 4 ? 'MISSED' : 'kept'}`,
);

const dearTime = 1 / (racks * tanh * dearest[1]);
if (dearTime < 6) missed++;
row(
  `${racks} racks of ${dearest[0]}, the dearest`,
  `${dearTime.toFixed(1)} x`,
  `real time on one core: at least 6 [10], ${dearTime < 6 ? 'MISSED' : 'kept'}`,
);

const kinds = stageKinds.map(({ id }) => id);
const mixed = Array.from({ length: racks }, (_, i) => [0, 1, 2].map((k) => stage(kinds[(i + k) % kinds.length])));
const mixedTime = 1 / mixed.reduce((sum, stages) => sum + time(secondOf(stages)), 0);
if (mixedTime < 3) missed++;
row(
  `${racks} racks of three, all ${kinds.length} kinds in turn`,
  `${mixedTime.toFixed(1)} x`,
  `real time on one core: at least 3 [6], ${mixedTime < 3 ? 'MISSED' : 'kept'}`,
);

const tail =
  time(secondOf(three('soft-clip', { bias: 30, tilt: 6 }), { gain: 1e-38 })) /
  time(secondOf(three('soft-clip', { bias: 30, tilt: 6 })));
if (tail > 1.5) missed++;
row('denormal input', `${tail.toFixed(2)} x`, `of the same with sound: at most 1.5, ${tail > 1.5 ? 'MISSED' : 'kept'}`);

const frames = 128;
const plain = [new PlainRack(3, 2.9, frames), new PlainRack(3, 2.9, frames)];
const input = Float32Array.from({ length: frames }, (_, i) => 0.3 * Math.sin(i * 0.1));
const output = new Float32Array(frames);
const typescript = time(() => {
  for (let block = 0; block < RATE / frames; block++)
    for (const channel of plain) channel.process(input, output, frames);
});
row('the same three tanh in plain TypeScript', `${(typescript / tanh).toFixed(2)} x`, 'of the kernels');

// Multiply-adds of the rack, one each for a multiplication with an addition: both channels, each doubling's filter up and
// down (pairs of taps cost an addition more), and per stage at 4x about 30 of rational, gains, coupling and sums.
const filters = [24, 8].reduce((sum, pairs, i) => sum + 2 * 1.5 * pairs * 2 ** i, 0);
const work = 2 * (filters + 3 * 4 * 30) * RATE;
const peak = await simdPeak();
const reached = work / tanh / 1e9;
row('SIMD peak (independent f32x4 mul and add)', `${peak.toFixed(1)}`, 'multiply-adds a nanosecond');
row('the rack of three tanh', `${reached.toFixed(1)}`, `about ${((100 * reached) / peak).toFixed(0)} % of the peak`);
process.exitCode = missed > 0 ? 1 : 0;
