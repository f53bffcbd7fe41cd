/**
 * npm run bench: cost in a real browser against the native shaper, cost in Node, measuring against ffmpeg, the match, an
 * export, aliases. Fails when a limit is missed.
 */
import { spawnSync } from 'node:child_process';
import { measureInBrowser } from './browser.mjs';

/** Most that one stage may cost against a native WaveShaperNode with oversample '4x'; the goal is 0.15. */
const LIMIT = 0.33;
/** And one circuit with memory; the goal is half of it. */
const CIRCUIT_LIMITS = { triode: 1, 'push-pull pair': 1.5, transformer: 1, tape: 2 };

spawnSync(process.execPath, ['scripts/build-kernels.mjs'], { stdio: 'inherit' });
let missed = 0;

const figures = await measureInBrowser(10);
const native = (figures.native - figures.none) / 3;
const whole = (figures.engine - figures.none) / 3;
const rack = (figures.engine - figures.empty) / 3;
if (rack / native > LIMIT) missed++;
console.log(
  `\nOne stereo stage of three tanh soft clips at 4x, 48 kHz, in Chromium ${figures.version}, offline rendering\n`,
);
const line = (name, seconds, remark) =>
  console.log(
    `  ${name.padEnd(46)}${(1e3 * seconds).toFixed(2).padStart(9)} ms  ${(seconds / native).toFixed(2)} x  ${remark}`,
  );
line('native WaveShaperNode, oversample 4x', native, 'per second of sound: the baseline');
line('rack, over-sampling included', rack, `at most ${LIMIT} [0.15], ${rack / native > LIMIT ? 'MISSED' : 'kept'}`);
line('the same with the whole worklet node on it', whole, 'a session has one node for all racks');
for (const [kind, limit] of Object.entries(CIRCUIT_LIMITS)) {
  const cost = (figures[kind] - figures.empty) / 3;
  const isMissed = cost / native > limit;
  if (isMissed) missed++;
  line(`${kind}, over-sampling included`, cost, `at most ${limit} [${limit / 2}], ${isMissed ? 'MISSED' : 'kept'}`);
}

for (const bench of ['speed', 'measure', 'match', 'export', 'alias', 'driven']) {
  const { status } = spawnSync(process.execPath, ['scripts/run-ts.mjs', `tests/benchmarks/${bench}.ts`], {
    stdio: 'inherit',
  });
  if (status !== 0) missed++;
}
console.log(missed > 0 ? '\nA limit was missed.' : '\nAll limits kept.');
process.exitCode = missed > 0 ? 1 : 0;
