// The audio tests once more, in Firefox where it is installed (FIREFOX_PATH or on the PATH); it is driven by WebDriver
// BiDi. Without one the results say that they were skipped.
import { spawnSync } from 'node:child_process';
import { chromeLauncher } from '@web/test-runner-chrome';
import base, { sumReporter } from './web-test-runner.config.mjs';

export function findFirefox() {
  const candidates = [process.env.FIREFOX_PATH, 'firefox-esr', 'firefox'].filter(Boolean);
  for (const name of candidates) {
    const { status, stdout } = spawnSync('sh', ['-c', `command -v "${name}"`], { encoding: 'utf8' });
    if (status === 0) return stdout.trim();
  }
  return null;
}

const launcher = chromeLauncher({
  concurrency: 1,
  launchOptions: {
    browser: 'firefox',
    executablePath: findFirefox() ?? 'firefox',
    headless: true,
    extraPrefsFirefox: { 'media.autoplay.default': 0, 'media.autoplay.blocking_policy': 0 },
  },
});
launcher.name = 'Firefox';

export default {
  ...base,
  files: ['tests/browser/**/*.test.ts'],
  browsers: [launcher],
  // Loading and compiling take longer than in the browser the other tests run in.
  testFramework: { config: { timeout: 30_000 } },
  browserStartTimeout: 60_000,
  testsStartTimeout: 60_000,
  reporters: [base.reporters[0], sumReporter('firefox-results.json')],
};
