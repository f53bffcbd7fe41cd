// The browser tests once more, in Firefox where it is installed (FIREFOX_PATH or on the PATH); it is driven by WebDriver
// BiDi. Without one the results say that they were skipped.
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
  // Colour schemes and forced colours can't be emulated over WebDriver BiDi.
  files: [...base.files, '!tests/browser/*-live.test.ts', '!tests/browser/looks.test.ts'],
  browsers: [launcher],
  reporters: [base.reporters[0], sumReporter('firefox-results.json')],
};
