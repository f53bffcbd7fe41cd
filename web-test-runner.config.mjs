import { mkdirSync, writeFileSync } from 'node:fs';
import { basename, dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { esbuildPlugin } from '@web/dev-server-esbuild';
import { defaultReporter } from '@web/test-runner';
import { chromeLauncher } from '@web/test-runner-chrome';
import { build } from 'esbuild';
import { findBrowser } from './scripts/browser.mjs';

const root = dirname(fileURLToPath(import.meta.url));
const browser = await findBrowser();
const PREBUNDLED = '/__prebundled/';
/** Re-exported by name, so that ES modules are taken and exports keep their names; CommonJS has only the default one. */
const LIBRARIES = {
  'standardized-audio-context': (name) => `export * from '${name}';`,
  // CommonJS that says it has been a module.
  'wavefile/dist/wavefile.js': (name) => `import * as all from '${name}'; export default all;`,
  'fft.js': (name) => `export { default } from '${name}';`,
  '@stdlib/stats-base-dists-normal-cdf': (name) => `export { default } from '${name}';`,
  '@stdlib/stats-base-dists-chisquare-cdf': (name) => `export { default } from '${name}';`,
};
const WORKER = '__worker';

/** One self-contained script, as the production build makes it for a worklet or a worker. */
async function bundle(entry, format) {
  return bundled({ entryPoints: [entry] }, format);
}

async function bundled(input, format) {
  const result = await build({
    ...input,
    bundle: true,
    write: false,
    format,
    target: 'es2022',
    tsconfigRaw: { compilerOptions: { experimentalDecorators: true, useDefineForClassFields: false } },
    loader: { '.wasm': 'binary' },
  });
  return result.outputFiles[0].text;
}

/** Answers `x.ts?worker&url` with a URL and `x.ts?worker` with a Worker's constructor; both serve a bundled script. */
const workerPlugin = {
  name: 'worker-imports',
  async serve(context) {
    const query = new URLSearchParams(context.querystring);
    if (query.has(WORKER)) {
      return { body: await bundle(join(root, decodeURIComponent(context.path)), 'iife'), type: 'js' };
    }
    if (!query.has('worker')) return undefined;
    const url = JSON.stringify(`${context.path}?${WORKER}`);
    const body = query.has('url')
      ? `export default ${url};`
      : `export default class extends Worker { constructor(options) { super(${url}, options); } }`;
    return { body, type: 'js' };
  },
};

/** The audio library has hundreds of modules, and @stdlib is CommonJS; as one module each they load in a moment. */
const prebundlePlugin = {
  name: 'prebundled',
  cache: new Map(),
  resolveImport({ source }) {
    return source in LIBRARIES ? `${PREBUNDLED}${source}.js` : undefined;
  },
  async serve(context) {
    if (!context.path.startsWith(PREBUNDLED)) return undefined;
    const name = context.path.slice(PREBUNDLED.length, -'.js'.length);
    if (!this.cache.has(name)) {
      this.cache.set(name, bundled({ stdin: { contents: LIBRARIES[name](name), resolveDir: root } }, 'esm'));
    }
    return { body: await this.cache.get(name), type: 'js' };
  },
};

/**
 * What the browser is asked beside the tests: a picture of the page in .cache/looks, and forced colours, which the
 * runner's own `emulateMedia` can't do in this browser.
 */
const looksPlugin = {
  name: 'looks',
  devtools: new WeakMap(),
  async executeCommand({ command, payload, session }) {
    if (command !== 'take-picture' && command !== 'emulate-looks') return undefined;
    const page = session.browser.getPage(session.id);
    if (command === 'take-picture') {
      const folder = join(root, '.cache/looks');
      mkdirSync(folder, { recursive: true });
      await page.screenshot({ path: join(folder, `${basename(payload)}.png`), fullPage: true });
      return true;
    }
    if (!this.devtools.has(page)) this.devtools.set(page, await page.createCDPSession());
    const features = Object.entries(payload).map(([name, value]) => ({ name, value }));
    await this.devtools.get(page).send('Emulation.setEmulatedMedia', { features });
    return true;
  },
};

/** Leaves the sums of the run where the script that adds up all tests finds them. */
export function sumReporter(file) {
  return {
    onTestRunFinished({ sessions }) {
      const sums = { passed: 0, failed: 0, skipped: 0 };
      for (const session of sessions) {
        count(session.testResults, sums);
        // A file that didn't load has no results of its own, but it is a failure all the same.
        if (!session.testResults || session.errors.length > 0) sums.failed++;
      }
      mkdirSync(join(root, '.cache'), { recursive: true });
      writeFileSync(join(root, '.cache', file), `${JSON.stringify(sums)}\n`);
      console.log(`browser: ${sums.passed} passed, ${sums.failed} failed, ${sums.skipped} skipped`);
    },
  };
}

function count(suite, sums) {
  for (const test of suite?.tests ?? []) sums[test.skipped ? 'skipped' : test.passed ? 'passed' : 'failed']++;
  for (const inner of suite?.suites ?? []) count(inner, sums);
}

export default {
  rootDir: root,
  files: ['src/components/**/*.test.ts', 'tests/browser/**/*.test.ts'],
  nodeResolve: { exportConditions: ['production', 'browser'] },
  concurrency: 1,
  browsers: [
    chromeLauncher({
      launchOptions: {
        executablePath: browser.executablePath,
        args: browser.args,
        headless: browser.headless,
        env: { ...process.env, ...browser.env },
      },
    }),
  ],
  plugins: [
    workerPlugin,
    prebundlePlugin,
    looksPlugin,
    esbuildPlugin({
      ts: true,
      target: 'es2022',
      tsconfig: join(relative('.', root), 'tests/browser/fixture/esbuild.tsconfig.json'),
    }),
  ],
  // These only end what hangs: a busy machine takes many times as long as a quiet one.
  testFramework: { config: { timeout: 5 * 60_000 } },
  browserStartTimeout: 5 * 60_000,
  testsStartTimeout: 5 * 60_000,
  testsFinishTimeout: 30 * 60_000,
  reporters: [
    defaultReporter({ reportTestResults: true, reportTestProgress: Boolean(process.stdout.isTTY) }),
    sumReporter('browser-results.json'),
  ],
};
