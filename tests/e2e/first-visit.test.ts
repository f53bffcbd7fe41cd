/** What a stranger meets: the demo, sound at one press, the switch by keys, figures without holes, files that are broken. */
import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type App, openApp, settled } from './app.ts';

let app: App;
interface Workbench {
  document: { name: string; channels: { id: string; rack: { stages: { id: string }[] } }[] };
  live: { latest: { colouredPeakDbfs: number; cleanPeakDbfs: number } | null };
  player: { side: string; playing: boolean; panic: boolean; positionSeconds(): number };
  analysis: { rack(id: string): { match: { quality: string; residualLu: number } | null } | undefined };
}
type Global = { levelBest: Workbench };

beforeAll(async () => {
  app = await openApp({ demoSeconds: null });
});
afterAll(async () => {
  await app?.close();
});

describe('a first visit', () => {
  it('shows the demo session measured, without a hole in the figures', async () => {
    await settled(app.page);
    const text = await app.page.evaluate(() => {
      const all: string[] = [];
      const walk = (node: Node) => {
        if (node.nodeType === Node.TEXT_NODE) all.push(node.textContent ?? '');
        if (node instanceof Element && node.shadowRoot) walk(node.shadowRoot);
        if (node.nodeName !== 'STYLE') node.childNodes.forEach(walk);
      };
      walk(document.body);
      return all.join(' ');
    });
    expect(text).toContain('Harbour Hall sextet');
    expect(text).toContain('Melodica');
    expect(text).not.toMatch(/NaN|Infinity|undefined|\[object/);
  });

  it('plays at the press of Space and both sides sound', async () => {
    await app.page.keyboard.press('Space');
    await app.page.waitForFunction(
      () => ((globalThis as unknown as Global).levelBest.live.latest?.colouredPeakDbfs ?? -200) > -40,
    );
    const peaks = await app.page.evaluate(() => (globalThis as unknown as Global).levelBest.live.latest);
    expect(peaks?.cleanPeakDbfs).toBeGreaterThan(-40);
  });

  it('switches by the keys 1, 2, 3 and X', async () => {
    const side = () => app.page.evaluate(() => (globalThis as unknown as Global).levelBest.player.side);
    for (const [key, expected] of [
      ['1', 'clean'],
      ['2', 'coloured'],
      ['3', 'added'],
      ['1', 'clean'],
      ['x', 'coloured'],
      ['x', 'clean'],
    ]) {
      await app.page.keyboard.press(key);
      expect(await side()).toBe(expected);
    }
  });

  it('gives a moved drive an exact match again', async () => {
    await app.page.evaluate(() => {
      const workbench = (globalThis as unknown as Global & { levelBest: { dispatch(c: unknown): void } }).levelBest;
      const [channel] = workbench.document.channels;
      workbench.dispatch({
        type: 'set-parameter',
        rackId: channel.id,
        stageId: channel.rack.stages[0].id,
        parameterId: 'drive',
        value: 6,
      });
    });
    await settled(app.page);
    const match = await app.page.evaluate(() => {
      const workbench = (globalThis as unknown as Global).levelBest;
      return workbench.analysis.rack(workbench.document.channels[0].id)?.match;
    });
    expect(match?.quality).toBe('exact');
    expect(Math.abs(match?.residualLu ?? 1)).toBeLessThan(0.01);
  });

  it('mutes at once with Escape and comes back', async () => {
    await app.page.keyboard.press('Escape');
    expect(await app.page.evaluate(() => (globalThis as unknown as Global).levelBest.player.panic)).toBe(true);
    await app.page.keyboard.press('Escape');
    expect(await app.page.evaluate(() => (globalThis as unknown as Global).levelBest.player.panic)).toBe(false);
  });

  it('names files it can not read and keeps everything else', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'level-best-bad-'));
    const bad: [string, Uint8Array][] = [
      ['empty.wav', new Uint8Array(0)],
      ['broken.wav', new TextEncoder().encode('RIFF\x04\x00\x00\x00WAVEnothing here')],
      ['letter.mp3', new TextEncoder().encode('Dear engineer, this is no sound.')],
      ['torn.flac', new TextEncoder().encode('fLaC\x00\x00')],
    ];
    const paths = bad.map(([name, bytes]) => {
      const path = join(folder, name);
      writeFileSync(path, bytes);
      return path;
    });
    const before = await app.page.evaluate(() =>
      JSON.stringify((globalThis as unknown as Global).levelBest.document.channels.map((c) => c.id)),
    );
    const chooser = app.page.waitForEvent('filechooser');
    await app.page.getByRole('button', { name: /Add audio files/ }).click();
    await (await chooser).setFiles(paths);
    for (const [name] of bad)
      await app.page
        .getByText(new RegExp(`${name}: .+`))
        .first()
        .waitFor();
    const after = await app.page.evaluate(() =>
      JSON.stringify((globalThis as unknown as Global).levelBest.document.channels.map((c) => c.id)),
    );
    expect(after).toBe(before);
    expect(await app.page.evaluate(() => (globalThis as unknown as Global).levelBest.player.playing)).toBe(true);
  });

  it('leaves the console silent', () => {
    expect(app.complaints).toEqual([]);
  });
});
