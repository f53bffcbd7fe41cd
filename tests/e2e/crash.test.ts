/**
 * A tab that dies at any moment of an edit loses at most the last second (and no sound); on a machine on which keeping
 * one edit takes longer than a fifth of that, at most what five such edits take.
 */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { findBrowser } from '../../scripts/browser.mjs';
import { type App, openApp, settled } from './app.ts';

/** The packaged browser runs in one process, which a crashing tab takes down whole. */
const { args } = await findBrowser();
const oneProcess = args.includes('--single-process');

let app: App;
interface Workbench {
  document: { channels: { id: string; gainDb: number }[] };
  notices: { notices: { kind: string; text: string }[] };
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

/** How long it takes, by the page's clock, until an edit can be read from the browser's store by another connection. */
function timeToKeep(page: Page): Promise<number> {
  return page.evaluate(async () => {
    const workbench = (globalThis as unknown as Global).levelBest;
    const result = <T>(request: IDBRequest<T>) =>
      new Promise<T>((resolve, reject) => {
        request.onsuccess = () => resolve(request.result);
        request.onerror = () => reject(request.error);
      });
    const database = await result(indexedDB.open('level-best'));
    const name = `Kept ${Math.random()}`;
    const start = performance.now();
    workbench.dispatch({ type: 'rename-session', name });
    for (;;) {
      const stored = await result(database.transaction('documents').objectStore('documents').getAll());
      if (stored.some((document: { name?: string }) => document.name === name)) break;
      await new Promise((resolve) => setTimeout(resolve, 10));
    }
    database.close();
    return performance.now() - start;
  });
}

describe('a crash', () => {
  // Moments in the middle of a continuous drag, chosen once at random; each drag lies below what the one before has left.
  it.skipIf(oneProcess).each([
    [1237, -10],
    [803, -20],
    [2411, -30],
  ])('after %d ms of dragging from %d dB loses nothing older than a second', async (dragMs, from) => {
    const { page } = app;
    const limit = Math.max(1000, 5 * (await timeToKeep(page)));
    const moves: { step: number; time: number }[] = [];
    // By the page's own clock: how late its words come here says nothing about what is kept.
    const listen = (message: { text(): string }) => {
      const [tag, step, time] = message.text().split(' ');
      if (tag === 'moved') moves.push({ step: Number(step), time: Number(time) });
    };
    page.on('console', listen);
    await page.evaluate((fromDb) => {
      const workbench = (globalThis as unknown as Global).levelBest;
      const channelId = workbench.document.channels[0].id;
      let step = 0;
      setInterval(() => {
        step++;
        workbench.dispatch({ type: 'set-channel', channelId, gainDb: fromDb - step / 100 });
        console.log(`moved ${step} ${performance.now()}`);
      }, 25);
    }, from);
    // As much longer as the limit is, so that a drag that is kept only at its end is found out here, too.
    await page.waitForTimeout((dragMs * limit) / 1000);
    await page.goto('chrome://crash').catch(() => undefined);
    page.off('console', listen);
    const fresh = await page.context().newPage();
    await page.close().catch(() => undefined);
    (app as { page: typeof fresh }).page = fresh;
    await fresh.goto(app.address);
    await settled(fresh);
    const { gainDb, channels, faults } = await fresh.evaluate(() => {
      const workbench = (globalThis as unknown as Global).levelBest;
      const faults = workbench.notices.notices.filter(({ kind }) => kind !== 'info').map(({ text }) => text);
      return { gainDb: workbench.document.channels[0].gainDb, channels: workbench.document.channels.length, faults };
    });
    const kept = Math.round((from - gainDb) * 100);
    const last = moves.at(-1)?.time ?? 0;
    const oldest = last - (moves.find(({ step }) => step === kept + 1)?.time ?? last);
    console.log(`${moves.length} moves; the oldest lost one was ${oldest.toFixed(0)} ms old of ${limit.toFixed(0)}`);
    expect(moves.length).toBeGreaterThan(3);
    expect(kept).toBeGreaterThan(0);
    expect(oldest).toBeLessThan(limit);
    expect(channels).toBe(6);
    expect(faults).toEqual([]);
  });
});
