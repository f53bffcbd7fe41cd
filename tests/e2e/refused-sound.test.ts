/** A browser whose audio can't be started: one sentence, and nothing of the session is lost. */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type App, openApp, settled } from './app.ts';

let app: App;
interface Workbench {
  document: { channels: unknown[] };
  player: { state: string; playing: boolean; play(): Promise<void> };
  notices: { notices: { kind: string; text: string }[] };
}
type Global = { levelBest: Workbench };

beforeAll(async () => {
  app = await openApp();
  await settled(app.page);
});
afterAll(async () => {
  await app?.close();
});

const state = () =>
  app.page.evaluate(() => {
    const { player, document, notices } = (globalThis as unknown as Global).levelBest;
    return {
      state: player.state,
      playing: player.playing,
      channels: document.channels.length,
      texts: notices.notices.filter(({ kind }) => kind === 'fault').map(({ text }) => text),
    };
  });

describe('sound that is refused', () => {
  it('is said in a sentence when the worklet can not be loaded, and works at the next press', async () => {
    await app.page.route('**/session.worklet*', (route) => route.abort());
    await app.page.keyboard.press('Space');
    await app.page.waitForFunction(() => (globalThis as unknown as Global).levelBest.player.state === 'failed');
    const failed = await state();
    expect(failed.playing).toBe(false);
    expect(failed.channels).toBe(6);
    expect(failed.texts.join(' ')).toMatch(/Sound could not be started .*Reload the page/);
    await app.page.unroute('**/session.worklet*');
    await app.page.keyboard.press('Space');
    await app.page.waitForFunction(() => (globalThis as unknown as Global).levelBest.player.playing);
    expect((await state()).state).toBe('running');
  });

  it('comes back by itself when the context is closed under it', async () => {
    await app.page.evaluate(async () => {
      const { player } = (
        globalThis as unknown as { levelBest: { player: { engine: { host: { context: AudioContext } } } } }
      ).levelBest;
      await player.engine.host.context.close();
    });
    await app.page.waitForFunction(() => {
      const workbench = (globalThis as unknown as Global).levelBest;
      return workbench.player.playing && workbench.notices.notices.some(({ text }) => text.includes('Sound stopped'));
    });
    expect((await state()).channels).toBe(6);
  });
});
