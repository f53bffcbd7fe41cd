// Makes docs/screen.png: the running tool with the demo session, and with --all a set of sizes and both colour schemes
// in shots/ for looking at one's own work; with --views the analyser's and the bench's states. Needs a build (`npm run build`).
import { mkdirSync } from 'node:fs';
import { createServer } from 'node:http';
import { chromium } from 'playwright-core';
import sirv from 'sirv';
import { findBrowser } from './browser.mjs';

const all = process.argv.includes('--all');
const views = process.argv.includes('--views');
const server = createServer(sirv('dist'));
await new Promise((resolve) => server.listen(0, '127.0.0.1', resolve));
const address = `http://localhost:${server.address().port}/`;
const { executablePath, args, env } = await findBrowser();
const browser = await chromium.launch({ executablePath, args, env: { ...process.env, ...env }, headless: true });

async function shoot(path, { width, height, colorScheme = 'light', fullPage = false, rack = 'melodica', view }) {
  const context = await browser.newContext({ viewport: { width, height }, colorScheme, reducedMotion: 'reduce' });
  const page = await context.newPage();
  page.on('console', (message) => message.type() === 'error' && console.log(path, message.text()));
  page.on('pageerror', (error) => console.log(path, error.message));
  await page.addInitScript(() => Object.assign(globalThis, { levelBest: null }));
  await page.goto(address);
  const settled = () =>
    page.waitForFunction(() => {
      const { analysis } = globalThis.levelBest ?? {};
      return analysis?.status === 'idle' && analysis.clean !== null;
    });
  await settled();
  await page.evaluate((id) => globalThis.levelBest.selectRack(id), rack);
  await settled();
  await page.keyboard.press('Space');
  await page.waitForTimeout(view ? 4200 : 2600);
  if (view) await VIEWS[view](page);
  await page.screenshot({ path, fullPage });
  console.log(path);
  await context.close();
}

/** What a person would click to see more. Selectors reach through shadow roots. */
const bench = (test) => async (page) => {
  await page.locator('#tab-bench').click();
  await page.locator('bench-sheet select').selectOption(test);
  await page.waitForTimeout(3500);
  await page.locator('bench-sheet').scrollIntoViewIfNeeded();
};
const VIEWS = {
  analyser: async (page) => {
    await page.getByRole('button', { name: 'Analyser' }).click();
    await page.locator('spectrum-plot .cursor').focus();
    await page.waitForTimeout(600);
  },
  low: async (page) => {
    await page.getByRole('button', { name: 'Low band' }).click();
    await page.waitForTimeout(600);
  },
  curve: async (page) => {
    await page.locator('stage-column button.curve').first().click();
    await page.waitForTimeout(400);
  },
  tone: bench('tone'),
  sweep: bench('level-sweep'),
  frequency: bench('frequency-sweep'),
  smpte: bench('smpte'),
  difference: bench('difference'),
  floor: bench('floor'),
  stack: bench('stack'),
};

if (views) {
  mkdirSync('shots', { recursive: true });
  for (const view of Object.keys(VIEWS)) {
    const fullPage = !['curve'].includes(view);
    await shoot(`shots/view-${view}.png`, { width: 1400, height: 900, fullPage, view });
  }
  for (const view of ['analyser', 'tone', 'stack']) {
    await shoot(`shots/view-${view}-narrow.png`, { width: 390, height: 844, colorScheme: 'dark', view });
  }
} else if (all) {
  mkdirSync('shots', { recursive: true });
  for (const colorScheme of ['light', 'dark']) {
    await shoot(`shots/wide-${colorScheme}.png`, { width: 1400, height: 900, colorScheme });
    await shoot(`shots/narrow-${colorScheme}.png`, { width: 390, height: 844, colorScheme });
    await shoot(`shots/narrow-full-${colorScheme}.png`, { width: 390, height: 844, colorScheme, fullPage: true });
    await shoot(`shots/huge-${colorScheme}.png`, { width: 2560, height: 1300, colorScheme });
  }
} else {
  mkdirSync('docs', { recursive: true });
  await shoot('docs/screen.png', { width: 1400, height: 900 });
}
await browser.close();
server.close();
