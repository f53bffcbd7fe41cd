/** Prints what racks cost in Node, always as a ratio to something in the same run. */
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
const variants: [string, () => void][] = [
  ['an empty rack', secondOf([])],
  ['six tanh', secondOf([...three('soft-clip'), ...three('soft-clip')])],
  ['three tanh at 8x', secondOf(three('soft-clip'), 8)],
  ['three tanh with bias', secondOf(three('soft-clip', { bias: 30 }))],
  ['three tanh with emphasis', secondOf(three('soft-clip', { tilt: 6 }))],
  ['three arctangent', secondOf(three('soft-clip', { curve: 'arctangent' }))],
  ['three cubic', secondOf(three('soft-clip', { curve: 'cubic' }))],
  ['three algebraic, p = 2', secondOf(three('soft-clip', { curve: 'algebraic' }))],
  ['three algebraic, p = 1 (8x, corners)', secondOf(three('soft-clip', { curve: 'algebraic', knee: 1 }))],
  ['three algebraic, p = 1.5 (8x, corners)', secondOf(three('soft-clip', { curve: 'algebraic', knee: 1.5 }))],
  ['three algebraic, p = 6 (8x, corners)', secondOf(three('soft-clip', { curve: 'algebraic', knee: 6 }))],
  ['three hard clips (8x, corners)', secondOf(three('soft-clip', { curve: 'algebraic', knee: 100 }))],
  ['three harmonic sets', secondOf(three('harmonic-set'))],
  ['three diode pairs (8x)', secondOf(three('diode-pair'))],
  ['three transformers', secondOf(three('transformer'))],
];
for (const [name, work] of variants) row(name, `${(time(work) / tanh).toFixed(2)} x`, 'of three tanh');

const racks = 13;
const realTime = 1 / time(secondOf(three('soft-clip'), 4, racks));
if (realTime < 4) missed++;
row(
  `${racks} racks of three tanh`,
  `${realTime.toFixed(1)} x`,
  `real time on one core: at least 4 [10], ${realTime < 4 ? 'MISSED' : 'kept'}`,
);

const tail =
  time(secondOf(three('soft-clip', { bias: 30, tilt: 6 }), 4, 1, 1e-38)) /
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
