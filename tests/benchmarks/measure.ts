/** Measuring a file (loudness, range, true peak) against ffmpeg's ebur128 filter with true peak, in the same run. */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { measure } from '../../src/dsp/measure.ts';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { writeWav } from '../../src/files/wav.ts';
import { findFfmpeg } from '../support/oracle-ffmpeg.ts';
import { row } from './timing.ts';

const RATE = 48000;
const SECONDS = 120;

/** Two minutes of stereo with a programme's level changes: a tone in noise under a slow envelope. */
function programme(): Float32Array[] {
  const random = seededRandom(4);
  return [0, 1].map((side) =>
    Float32Array.from({ length: SECONDS * RATE }, (_, i) => {
      const level = 0.1 * (1.2 + Math.sin(i / 31000)) * (1 + 0.5 * Math.sin(i / 4100));
      return level * (0.7 * gaussian(random) + Math.sin((2 * Math.PI * (220 + side) * i) / RATE));
    }),
  );
}

/** Best wall time of a few rounds, seconds: ffmpeg's work is not in this process's own time. */
function bestOf(rounds: number, work: () => void): number {
  let best = Number.POSITIVE_INFINITY;
  for (let i = 0; i < rounds; i++) {
    const start = performance.now();
    work();
    best = Math.min(best, (performance.now() - start) / 1000);
  }
  return best;
}

const ffmpeg = findFfmpeg();
if (!ffmpeg) console.log('measuring: ffmpeg is not installed, so there is no baseline');
else {
  const channels = programme();
  const path = join(mkdtempSync(join(tmpdir(), 'level-best-bench-')), 'programme.wav');
  writeFileSync(path, writeWav({ channels, sampleRate: RATE }, { bits: 24 }));
  const filter = ['-nostats', '-threads', '1', '-i', path, '-af', 'ebur128=peak=true', '-f', 'null', '-'];
  const theirs = bestOf(3, () => spawnSync(ffmpeg, filter, { stdio: 'ignore' }));
  measure(channels, RATE);
  const ours = bestOf(3, () => measure(channels, RATE));
  row('measuring, speed against ffmpeg ebur128=peak=true', (theirs / ours).toFixed(2), '(required 0.5, goal 1)');
  row(
    'measuring, times real time',
    (SECONDS / ours).toFixed(0),
    `(ffmpeg ${(SECONDS / theirs).toFixed(0)}, with its start)`,
  );
  if (theirs / ours < 0.5) process.exitCode = 1;
}
