/**
 * Runs every check there is and adds up: npm test, or npm test -- unit lint … for some of them.
 *
 * Each static check counts as one test. The whole output of a part that fails is printed; of every part it is kept in
 * .cache/test-logs. The last line is "N passed, N failed", with ", N skipped" if there are any, which fail too where
 * NO_SKIPS is set.
 */
import { spawn } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { findFirefox } from './browser.mjs';

const root = join(dirname(fileURLToPath(import.meta.url)), '..');
const logs = join(root, '.cache', 'test-logs');
const vite = 'node_modules/vite/bin/vite.js';
/** Minutes after which a part hangs for certain, also on a machine five times slower that does other things as well. */
const PATIENCE = 60;

/** In the order in which they start, the longest first; as many run at once as there are LANES. */
const parts = [
  check('kernels', ['scripts/build-kernels.mjs']),
  {
    ...check('build', [vite, 'build'], [vite, 'build', '--ssr', 'src/cli/main.ts', '--outDir', 'dist/cli']),
    needs: ['kernels'],
  },
  { ...vitest('unit'), needs: ['kernels', 'build'] },
  { ...vitest('e2e'), needs: ['build'] },
  // While the build runs.
  { ...check('types', ['scripts/types.mjs']), needs: ['kernels'] },
  {
    name: 'browser',
    commands: [['node_modules/@web/test-runner/dist/bin.js']],
    results: '.cache/browser-results.json',
    read: (sums) => ({ ...sums, skippedNames: [] }),
    needs: ['kernels'],
  },
  {
    name: 'firefox',
    commands: [['node_modules/@web/test-runner/dist/bin.js', '--config', 'web-test-runner.firefox.config.mjs']],
    results: '.cache/firefox-results.json',
    read: (sums) => ({ ...sums, skippedNames: [] }),
    missing: findFirefox() ? null : 'the browser tests in Firefox, which is not installed',
    needs: ['kernels'],
  },
  check('lint', ['node_modules/@biomejs/biome/bin/biome', 'check', '.']),
  { ...check('unused', ['node_modules/knip/bin/knip.js']), needs: ['kernels'] },
];

/** Parts that run at once: browsers wait for sound to be played while the numbers are computed. */
const LANES = 2;

/** A check that passes or fails as a whole. */
function check(name, ...commands) {
  return { name, commands };
}

function vitest(project) {
  const results = `.cache/${project}-results.json`;
  const reporters = ['--reporter=default', '--reporter=json', `--outputFile.json=${results}`];
  const command = ['node_modules/vitest/vitest.mjs', 'run', '--project', project, '--passWithNoTests', ...reporters];
  // By itself Vitest leaves one core alone, which is half of a small machine.
  if (project === 'unit') command.push('--maxWorkers=100%');
  return { name: project, commands: [command], results, read: readVitest };
}

function readVitest(json) {
  const tests = json.testResults.flatMap((file) => file.assertionResults);
  const of = (...states) => tests.filter(({ status }) => states.includes(status));
  // A file that didn't load has no tests of its own, but it is a failure all the same.
  const broken = json.testResults.filter((file) => file.status === 'failed' && file.assertionResults.length === 0);
  const skipped = of('pending', 'skipped', 'todo', 'disabled');
  return {
    passed: of('passed').length,
    failed: of('failed').length + broken.length,
    skipped: skipped.length,
    skippedNames: skipped.map(({ fullName }) => fullName),
  };
}

/** Runs one part to its end; output is collected. */
async function run(part) {
  let output = '';
  let ok = true;
  if (part.results) rmSync(join(root, part.results), { force: true });
  for (const command of part.commands) {
    if (!ok) break;
    const { code, text } = await execute(command);
    output += text;
    ok = code === 0;
  }
  mkdirSync(logs, { recursive: true });
  writeFileSync(join(logs, `${part.name}.log`), output);
  return { ok, output, ...sumsOf(part, ok) };
}

function execute(command) {
  return new Promise((resolve) => {
    let text = '';
    const env = { ...process.env, FORCE_COLOR: '0', NO_COLOR: '1' };
    if (chosen.has('build')) env.LEVEL_BEST_CLI = join(root, 'dist/cli/main.js');
    const child = spawn(process.execPath, command, { cwd: root, env, stdio: ['ignore', 'pipe', 'pipe'] });
    const timer = setTimeout(() => {
      text += `\nStopped after ${PATIENCE} minutes.\n`;
      child.kill('SIGKILL');
    }, PATIENCE * 60_000);
    const keep = (chunk) => {
      text += chunk;
    };
    child.stdout.on('data', keep);
    child.stderr.on('data', keep);
    child.on('error', (error) => keep(`${error.message}\n`));
    child.on('close', (code) => {
      clearTimeout(timer);
      resolve({ code: code ?? 1, text });
    });
  });
}

function sumsOf({ results, read }, ok) {
  const one = ok ? { passed: 1, failed: 0 } : { passed: 0, failed: 1 };
  if (!read) return { ...one, skipped: 0, skippedNames: [] };
  const path = join(root, results);
  if (!existsSync(path)) return { passed: 0, failed: 1, skipped: 0, skippedNames: [] };
  const sums = read(JSON.parse(readFileSync(path, 'utf8')));
  // It failed although no test did: an unhandled error, a browser that wouldn't start, the time limit.
  if (!ok && sums.failed === 0) sums.failed = 1;
  // A part in which nothing ran is not silently fine.
  if (sums.passed + sums.failed + sums.skipped === 0) return { ...sums, skipped: 1, skippedNames: ['there are none'] };
  return sums;
}

const wanted = process.argv.slice(2);
const unknown = wanted.find((name) => !parts.some((part) => part.name === name));
if (unknown) {
  console.error(`There is no part "${unknown}"; choose from ${parts.map(({ name }) => name).join(', ')}.`);
  process.exit(2);
}

const total = { passed: 0, failed: 0, skipped: 0 };
const waiting = parts.filter(({ name }) => wanted.length === 0 || wanted.includes(name));
const chosen = new Set(waiting.map(({ name }) => name));
const done = new Map();
await Promise.all(Array.from({ length: LANES }, lane));

/** Takes one part after the other, each when what it needs is done. */
async function lane() {
  while (waiting.length > 0) {
    const index = waiting.findIndex(({ needs = [] }) => needs.every((name) => !chosen.has(name) || done.has(name)));
    if (index < 0) await new Promise((resolve) => setTimeout(resolve, 200));
    else await runAndTell(...waiting.splice(index, 1));
  }
}

async function runAndTell(part) {
  if (part.missing) {
    total.skipped++;
    done.set(part.name, true);
    console.log(`${part.name.padEnd(8)} skipped: ${part.missing}`);
    return;
  }
  const start = performance.now();
  const broken = (part.needs ?? []).find((name) => done.get(name) === false);
  const result = broken
    ? { output: `Not run, since "${broken}" failed.\n`, passed: 0, failed: 1, skipped: 0, skippedNames: [] }
    : await run(part);
  done.set(part.name, result.failed === 0);
  for (const key of Object.keys(total)) total[key] += result[key];
  const seconds = ((performance.now() - start) / 1000).toFixed(1);
  console.log(`${part.name.padEnd(8)} ${sentence(result).padEnd(34)} ${seconds} s`);
  for (const name of result.skippedNames) console.log(`         skipped: ${name}`);
  if (result.failed > 0) console.log(`\n${result.output.trimEnd()}\n`);
}

console.log(`Full output: ${relative(process.cwd(), logs) || '.'}`);
const noSkips = Boolean(process.env.NO_SKIPS);
if (noSkips && total.skipped > 0)
  console.log('Nothing may be skipped here (NO_SKIPS is set): install what the tests above need.');
if (total.failed > 0 || (noSkips && total.skipped > 0)) process.exitCode = 1;
console.log(sentence(total));

function sentence({ passed, failed, skipped }) {
  return `${passed} passed, ${failed} failed${skipped > 0 ? `, ${skipped} skipped` : ''}`;
}
