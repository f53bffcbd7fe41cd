/**
 * Aliases and cost of single stages of every curve, at 44.1, 48 and 96 kHz, driven by 0, 12 and 24 dB, at inputs of −18,
 * −6 and 0 dBFS: the worst of five tones to 10 kHz, and 31 tones to 20 kHz. Each with its limit.
 * Run: node scripts/run-ts.mjs tests/benchmarks/driven.ts [rates, comma between]
 */
import { sine } from '../../src/dsp/tones.ts';
import { dbToGain } from '../../src/dsp/units.ts';
import { chordAlias, chordTones } from '../support/chord-alias.ts';
import { drivenCurves, drivenStage, worstAlias } from '../support/driven-curves.ts';
import { stage } from '../support/rig.ts';
import { secondOf } from './rack-runner.ts';
import { bestOf, warmUp } from './timing.ts';

const RATES = (process.argv[2] ?? '44100,48000,96000').split(',').map(Number);
const DRIVES = [0, 12, 24];
const INPUTS = [-18, -6, 0];
/** Most alias of a tone to 10 kHz, dBc, and of 31 tones at −18 dBFS with a kind's defaults, dB; the goals are −100 and −115. */
const TONE_LIMIT = -80;
const CHORD_LIMIT = -105;
const COST_HZ = 997;

const stereo = (mono: ArrayLike<number>) => Float32Array.from({ length: 2 * mono.length }, (_, i) => mono[i >> 1]);

function time(work: () => void): number {
  work();
  return bestOf(3, work);
}

let missed = 0;
const verdict = (figure: number, limit: number) => {
  if (figure > limit) missed++;
  return figure > limit ? '!' : ' ';
};

for (const sampleRate of RATES) {
  const tone = (dbfs: number) => stereo(sine(sampleRate / 2, sampleRate, COST_HZ, dbToGain(dbfs)));
  const chord = (dbfs: number) => stereo(chordTones(sampleRate / 2, { dbfs, sampleRate, size: 32768 }));
  const inputs = INPUTS.map((dbfs) => [tone(dbfs), chord(dbfs)]);
  const gentle = secondOf([stage('soft-clip', { drive: -6 })], { sampleRate, input: inputs[0][0] });
  warmUp(gentle);
  warmUp(gentle);
  const tanh = bestOf(20, gentle);
  console.log(`\nOne stage at ${sampleRate} Hz. Worst tone, dBc (at most ${TONE_LIMIT} [-100]), 31 tones, dB (at most`);
  console.log(`${CHORD_LIMIT} [-115] at a kind's defaults), and what either costs against a tanh at -6 dB of drive.\n`);
  console.log(
    `  ${''.padEnd(27)}drive ${INPUTS.map((dbfs) => `${dbfs} dBFS:  tone  31 tones   cost`.padStart(38)).join('')}`,
  );
  for (const [name, kind, params] of drivenCurves) {
    for (const drive of DRIVES) {
      const one = [drivenStage(kind, params, drive)];
      const cells = INPUTS.map((dbfs, i) => {
        const { dbc } = worstAlias(one, { sampleRate, dbfs, size: 8192 });
        const many = chordAlias(one, { sampleRate, dbfs, size: 16384 });
        const isDefault = drive === 0 && dbfs === -18 && Object.keys(params).length === 0;
        const costs = inputs[i].map((input) => (time(secondOf(one, { sampleRate, input })) / tanh).toFixed(1));
        const figures = `${dbc.toFixed(0)}${verdict(dbc, TONE_LIMIT)} ${many.toFixed(0).padStart(8)}`;
        return `${figures}${isDefault ? verdict(many, CHORD_LIMIT) : ' '} ${costs.join(' / ').padStart(11)}`.padStart(
          38,
        );
      });
      console.log(`  ${(drive === 0 ? name : '').padEnd(27)}${String(drive).padStart(5)} ${cells.join('')}`);
    }
  }
}
console.log(missed > 0 ? `\n  ${missed} limits MISSED (marked !)` : '\n  all limits kept');
process.exitCode = missed > 0 ? 1 : 0;
