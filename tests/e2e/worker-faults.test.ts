/** The built tool whose workers are killed under it: it works on, and when they are killed again it says what to do. */
import type { Worker } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type App, openApp, settled } from './app.ts';

let app: App;
interface Workbench {
  analysis: { status: string; coloured: { integratedLufs: number }; bench(spec: unknown): Promise<unknown> };
  live: { latest: object | null; fault: string | null };
  player: { play(): Promise<void> };
  dispatch(command: unknown): void;
}
type Global = { levelBest: Workbench };

beforeAll(async () => {
  app = await openApp();
  await settled(app.page);
});
afterAll(async () => {
  await app?.close();
});

const workerOf = (name: string): Worker => {
  const found = app.page.workers().findLast((worker) => worker.url().includes(name));
  if (!found) throw new Error(`There is no ${name} worker`);
  return found;
};

/** Throws in it, outside of anything that would catch it; resolves once another one stands in its place, or none. */
async function kill(name: string, isReplaced = true): Promise<void> {
  const worker = workerOf(name);
  const gone = new Promise((resolve) => worker.once('close', resolve));
  const next = isReplaced ? app.page.waitForEvent('worker') : null;
  await worker.evaluate(() => void setTimeout(() => JSON.parse('killed')));
  await Promise.all([gone, next]);
}

const moveAll = (db: number) =>
  app.page.evaluate((by) => {
    (globalThis as unknown as Global).levelBest.dispatch({ type: 'set-all-drives', db: by });
  }, db);

describe('a killed worker', () => {
  it('of the analysis, in the middle of its work, is replaced and the figures are right', async () => {
    await moveAll(3);
    await kill('analysis');
    await settled(app.page);
    const loudness = () =>
      app.page.evaluate(() => (globalThis as unknown as Global).levelBest.analysis.coloured.integratedLufs);
    const found = await loudness();
    await moveAll(0);
    await settled(app.page);
    await moveAll(3);
    await settled(app.page);
    expect(await loudness()).toBe(found);
    expect(await app.page.getByText('stopped').count()).toBe(0);
  });

  it('of the analyser is replaced while the sound goes on, and the second time the plot says so', async () => {
    const { page } = app;
    // A press, as browsers ask for one before there is sound.
    await page.locator('body').click({ position: { x: 2, y: 2 } });
    await page.evaluate(() => (globalThis as unknown as Global).levelBest.player.play());
    const framed = () => page.waitForFunction(() => (globalThis as unknown as Global).levelBest.live.latest !== null);
    await framed();
    await kill('live');
    await page.evaluate(() => {
      (globalThis as unknown as Global).levelBest.live.latest = null;
    });
    await framed();
    await kill('live', false);
    const message = page.locator('spectrum-plot .message');
    await message.waitFor();
    expect(await message.textContent()).toMatch(/The analyser stopped twice.*reload the page/);
    expect(await page.getByText('Sound failed').count()).toBe(0);
  });

  it('of the analysis that is killed again before it is done leaves no figure being measured for ever', async () => {
    const { page } = app;
    await moveAll(6);
    await kill('analysis');
    await kill('analysis', false);
    await page.waitForFunction(() => (globalThis as unknown as Global).levelBest.analysis.status === 'failed');
    await page.getByText('The analysis stopped twice').first().waitFor();
    await page.getByText('measuring failed').first().waitFor();
    const refused = await page.evaluate(() =>
      (globalThis as unknown as Global).levelBest.analysis.bench({}).then(
        () => 'answered',
        ({ message }: Error) => message,
      ),
    );
    expect(refused).toMatch(/The analysis stopped twice/);
    // It stays said, whatever is done next.
    await moveAll(2);
    expect(await page.evaluate(() => (globalThis as unknown as Global).levelBest.analysis.status)).not.toBe('idle');
    await page.waitForFunction(() => (globalThis as unknown as Global).levelBest.analysis.status === 'failed');
  });
});
