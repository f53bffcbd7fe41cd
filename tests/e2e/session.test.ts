/** The session as a whole: two scenes on the switch, mute and solo, and a session file that brings everything back. */
import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type App, openApp, settled } from './app.ts';

let app: App;
interface Figures {
  integratedLufs: number | null;
  truePeakDbtp: number | null;
}
interface Workbench {
  document: {
    name: string;
    channels: { id: string; rack: { stages: { id: string; params: Record<string, unknown> }[] } }[];
  };
  analysis: { clean: Figures; coloured: Figures; addedPercent: number };
  levels: {
    meters: { of(id: string, place: string, index: number): { coloured: { truePeakDbtp: number | null } } | null };
  };
  player: { playing: boolean; play(): Promise<void>; stop(): void; seek(seconds: number): void; resetLevels(): void };
  notices: { notices: { text: string }[] };
  dispatch(command: unknown): void;
  saveSession(withAudio: boolean): Promise<void>;
  openSession(file: File): Promise<void>;
  startNewSession(): void;
}
type Global = { levelBest: Workbench };

beforeAll(async () => {
  app = await openApp();
  await settled(app.page);
});
afterAll(async () => {
  await app?.close();
});

const figures = () =>
  app.page.evaluate(() => {
    const { clean, coloured, addedPercent } = (globalThis as unknown as Global).levelBest.analysis;
    return { clean, coloured, addedPercent };
  });
const dispatch = async (...commands: unknown[]) => {
  await app.page.evaluate((all) => {
    const workbench = (globalThis as unknown as Global).levelBest;
    for (const command of all) workbench.dispatch(command);
  }, commands);
  await settled(app.page);
};

describe('the session', () => {
  it('puts two settings on the switch, each matched to the clean mix', async () => {
    const before = await figures();
    await dispatch({ type: 'store-scene', id: 'mild', name: 'Mild' }, { type: 'set-all-drives', db: 12 });
    const hot = await figures();
    expect(hot.addedPercent).toBeGreaterThan(1.5 * before.addedPercent);
    await dispatch({ type: 'set-sides', a: 'mild', b: 'current' });
    const both = await figures();
    // Side A is now what was coloured before, and both sides are as loud as the clean mix.
    expect(both.clean.truePeakDbtp).toBeCloseTo(before.coloured.truePeakDbtp as number, 1);
    expect(both.coloured.truePeakDbtp).toBeCloseTo(hot.coloured.truePeakDbtp as number, 1);
    expect(Math.abs((both.clean.integratedLufs as number) - (before.clean.integratedLufs as number))).toBeLessThan(
      0.02,
    );
    expect(Math.abs((both.coloured.integratedLufs as number) - (before.clean.integratedLufs as number))).toBeLessThan(
      0.02,
    );
    await dispatch({ type: 'set-sides', a: 'clean' }, { type: 'set-all-drives', db: 0 });
    expect((await figures()).coloured.truePeakDbtp).toBeCloseTo(before.coloured.truePeakDbtp as number, 1);
  });

  it('mutes and solos without moving what it should not', async () => {
    const before = await figures();
    await dispatch({ type: 'set-mute', stripId: 'reeds', on: true });
    const muted = await figures();
    expect(muted.clean.integratedLufs).toBeLessThan((before.clean.integratedLufs as number) - 1);
    await dispatch(
      { type: 'set-mute', stripId: 'reeds', on: false },
      { type: 'set-solo', stripId: 'shaker', on: true },
    );
    // Solo is for listening: the figures are of the whole mix.
    expect((await figures()).clean.integratedLufs).toBeCloseTo(before.clean.integratedLufs as number, 3);
    await dispatch({ type: 'set-solo', stripId: 'shaker', on: false });
  });

  it('comes back from a file with its sound, after everything else was thrown away', async () => {
    const document = await app.page.evaluate(() =>
      JSON.stringify((globalThis as unknown as Global).levelBest.document),
    );
    // Without a picker the file is a download, which a test can take.
    const download = app.page.waitForEvent('download');
    await app.page.evaluate(() => {
      void (globalThis as unknown as Global).levelBest.saveSession(true);
    });
    const file = await download;
    expect(file.suggestedFilename()).toBe('Harbour Hall sextet.zip');
    const bytes = readFileSync(await file.path());
    await app.page.evaluate(() => (globalThis as unknown as Global).levelBest.startNewSession());
    const reopened = await app.page.evaluate(async (base64) => {
      const data = Uint8Array.from(atob(base64), (c) => c.charCodeAt(0));
      const workbench = (globalThis as unknown as Global).levelBest;
      await workbench.openSession(new File([data], 'sextet.zip'));
      return JSON.stringify(workbench.document);
    }, bytes.toString('base64'));
    expect(JSON.parse(reopened)).toEqual(JSON.parse(document));
    await settled(app.page);
    expect((await figures()).coloured.integratedLufs).not.toBeNull();
  });

  it('refuses what is no session in a sentence and keeps what it has', async () => {
    const texts = await app.page.evaluate(async () => {
      const workbench = (globalThis as unknown as Global).levelBest;
      await workbench.openSession(new File(['nothing of the kind'], 'letter.json'));
      return { texts: workbench.notices.notices.map(({ text }) => text), channels: workbench.document.channels.length };
    });
    expect(texts.texts.join(' ')).toContain('letter.json: This is neither');
    expect(texts.channels).toBe(6);
  });
});
