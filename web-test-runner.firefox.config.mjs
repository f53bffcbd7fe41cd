// What hangs on the browser's engine once more, in Firefox where it is installed (FIREFOX_PATH or on the PATH); it is
// driven by WebDriver BiDi. Without one the results say that they were skipped.
import { chromeLauncher } from '@web/test-runner-chrome';
import { findFirefox } from './scripts/browser.mjs';
import base, { sumReporter } from './web-test-runner.config.mjs';

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
  files: [
    'tests/browser/*.test.ts',
    // Sound that plays by itself; and colour schemes, which can't be emulated over WebDriver BiDi.
    '!tests/browser/*-live.test.ts',
    '!tests/browser/looks.test.ts',
    ...['app/level-best-app', 'level-diagram', 'session-list', 'spectrum-plot', 'take-home-sheet', 'value-slider'].map(
      (name) => `src/components/${name.includes('/') ? name : `${name}/${name}`}.test.ts`,
    ),
  ],
  browsers: [launcher],
  reporters: [base.reporters[0], sumReporter('firefox-results.json')],
};
