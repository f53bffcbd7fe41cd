/** A tab that dies at any moment of an edit loses at most the last second (and no sound). */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { findBrowser } from '../../scripts/browser.mjs';
import { type App, openApp, settled } from './app.ts';

/** The packaged browser runs in one process, which a crashing tab takes down whole. */
const { args } = await findBrowser();
const oneProcess = args.includes('--single-process');

let app: App;
interface Bench {
  document: { channels: { id: string; gainDb: number }[] };
  notices: { notices: { kind: string; text: string }[] };
  dispatch(command: unknown): void;
}
type Global = { levelBest: Bench };

beforeAll(async () => {
  app = await openApp();
  await settled(app.page);
});
afterAll(async () => {
  await app?.close();
});

describe('a crash', () => {
  // Moments in the middle of a continuous drag, chosen once at random.
  it.skipIf(oneProcess).each([1237, 803, 2411])(
    'after %d ms of dragging loses nothing older than a second',
    async (killAfter) => {
      const { page } = app;
      const moves: { step: number; time: number }[] = [];
      const listen = (message: { text(): string }) => {
        const [tag, step] = message.text().split(' ');
        if (tag === 'moved') moves.push({ step: Number(step), time: Date.now() });
      };
      page.on('console', listen);
      await page.evaluate(() => {
        const bench = (globalThis as unknown as Global).levelBest;
        const channelId = bench.document.channels[0].id;
        let step = 0;
        setInterval(() => {
          step++;
          bench.dispatch({ type: 'set-channel', channelId, gainDb: -step / 100 });
          console.log(`moved ${step}`);
        }, 25);
      });
      await page.waitForTimeout(killAfter);
      const killed = Date.now();
      await page.goto('chrome://crash').catch(() => undefined);
      page.off('console', listen);
      const fresh = await page.context().newPage();
      await page.close().catch(() => undefined);
      (app as { page: typeof fresh }).page = fresh;
      await fresh.goto(app.address);
      await settled(fresh);
      const { gainDb, channels, faults } = await fresh.evaluate(() => {
        const bench = (globalThis as unknown as Global).levelBest;
        const faults = bench.notices.notices.filter(({ kind }) => kind !== 'info').map(({ text }) => text);
        return { gainDb: bench.document.channels[0].gainDb, channels: bench.document.channels.length, faults };
      });
      const kept = Math.round(-gainDb * 100);
      const firstLost = moves.find(({ step }) => step === kept + 1)?.time ?? killed;
      console.log(`killed after ${moves.length} moves; the oldest lost one was ${killed - firstLost} ms old`);
      expect(moves.length).toBeGreaterThan(3);
      expect(kept).toBeGreaterThan(0);
      expect(killed - firstLost).toBeLessThan(1000);
      expect(channels).toBe(6);
      expect(faults).toEqual([]);
    },
  );
});
