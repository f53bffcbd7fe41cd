/** What the screen shows of sound while it plays, and after what: the built tool with the demo and with a sine. */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type App, openApp, settled } from './app.ts';

interface Side {
  momentaryLufs: number | null;
  shortTermLufs: number | null;
  truePeakDbtp: number | null;
  integratedLufs: number | null;
  psrDb: number | null;
}
interface Frame {
  standingTone: { hz: number } | null;
  clean: Float32Array;
  stopped: boolean;
  waiting: boolean;
}
interface Workbench {
  readonly document: { mix: { rack: { stages: { id: string }[] } }; channels: { id: string }[] };
  readonly levels: { latest: { coloured: Side; clean: Side; former: { coloured: Side } | null } | null };
  readonly live: { latest: Frame | null; onFrame(listener: (frame: Frame | null) => void): () => void };
  readonly player: { play(): Promise<void>; stop(): void };
  readonly sounds: { missing(document: unknown): unknown[] };
  selectRack(id: string): void;
  dispatch(command: unknown): void;
  startNewSession(): void;
  addFiles(files: readonly File[]): Promise<void>;
}
type Page = { levelBest: Workbench; inside(selector: string): Element | null };

let app: App;
beforeAll(async () => {
  app = await openApp({ width: 1440, height: 900, demoSeconds: null });
  await settled(app.page);
  await app.page.evaluate(() => {
    const find = (root: ParentNode, selector: string): Element | null => {
      const own = root.querySelector(selector);
      if (own) return own;
      for (const { shadowRoot } of root.querySelectorAll('*')) {
        const found = shadowRoot && find(shadowRoot, selector);
        if (found) return found;
      }
      return null;
    };
    (globalThis as unknown as Page).inside = (selector) => find(document, selector);
  });
});
afterAll(async () => {
  await app?.close();
});

/** Asks again and again from outside: the page's own policy lets nothing be evaluated in it later. */
const until = (what: (workbench: Workbench) => boolean) =>
  expect
    .poll(() => app.page.evaluate(`(${what})(globalThis.levelBest)`), { timeout: 600_000, interval: 100 })
    .toBe(true);
const play = () => app.page.evaluate(() => (globalThis as unknown as Page).levelBest.player.play());
const stop = () => app.page.evaluate(() => (globalThis as unknown as Page).levelBest.player.stop());
const levels = () => app.page.evaluate(() => (globalThis as unknown as Page).levelBest.levels.latest);
const picture = () =>
  app.page.evaluate(() => {
    const { latest } = (globalThis as unknown as Page).levelBest.live;
    return latest === null ? null : latest.stopped ? 'last' : 'now';
  });
/** The rows of the level panel beside the peak meter, as read. */
const panel = () =>
  app.page.evaluate(() =>
    [
      ...((globalThis as unknown as Page)
        .inside('level-panel[show=output]')
        ?.shadowRoot?.querySelectorAll('tbody tr') ?? []),
    ].map((row) =>
      [...row.querySelectorAll('td')].map((cell) =>
        (cell.textContent ?? '').replace(cell.querySelector('.hidden')?.textContent ?? '', '').trim(),
      ),
    ),
  );
const drive = (db: number) =>
  app.page.evaluate((value) => {
    const workbench = (globalThis as unknown as Page).levelBest;
    const stageId = workbench.document.mix.rack.stages[0].id;
    workbench.dispatch({ type: 'set-parameter', rackId: 'mix', stageId, parameterId: 'drive', value });
  }, db);

describe('live figures', () => {
  it('stay calm over the demo: the plot keeps its height, notes hold, nothing is numbered in a mix', async () => {
    await play();
    const seen = await app.page.evaluate(async () => {
      const { levelBest: workbench, inside } = globalThis as unknown as Page;
      const plot = inside('spectrum-plot')?.shadowRoot as ShadowRoot;
      const heights = new Set<number>();
      let notes = 0;
      let note: string | null = '';
      let tones = 0;
      const release = workbench.live.onFrame((frame) => {
        if (frame?.standingTone) tones++;
      });
      const start = performance.now();
      while (performance.now() - start < 12_000) {
        await new Promise((resolve) => requestAnimationFrame(resolve));
        heights.add((plot.querySelector('.plot') as Element).getBoundingClientRect().height);
        const text = plot.querySelector('.note')?.textContent ?? null;
        if (text !== note) notes++;
        note = text;
      }
      release();
      return { heights: [...heights], notes, tones };
    });
    console.log(
      `12 s of the demo: heights ${seen.heights.join(', ')} px, ${seen.notes} changes of the note, ${seen.tones} frames with marks`,
    );
    expect(seen.heights).toHaveLength(1);
    expect(seen.notes).toBeLessThanOrEqual(2);
    expect(seen.tones).toBe(0);
  });

  it('after a stop tell nothing of now, and keep what was measured', async () => {
    await until(
      (workbench) =>
        typeof workbench.levels.latest?.coloured.truePeakDbtp === 'number' && workbench.live.latest !== null,
    );
    await stop();
    await until((workbench) => workbench.levels.latest?.coloured.momentaryLufs === null);
    expect((await levels())?.coloured).toMatchObject({ momentaryLufs: null, shortTermLufs: null, psrDb: null });
    expect((await levels())?.coloured.truePeakDbtp).toBeLessThan(0);
    const rows = await panel();
    expect(rows[1]).toEqual(['–', '–']);
    expect(rows[6]).toEqual(['–', '–']);
    expect(await picture()).toBe('last');
  });

  it('after an edit at a standstill are called those of before, and the picture goes', async () => {
    const before = await levels();
    await drive(18);
    const after = await levels();
    expect(after?.coloured.truePeakDbtp).toBeNull();
    expect(after?.former?.coloured.truePeakDbtp).toBe(before?.coloured.truePeakDbtp);
    expect(await picture()).toBeNull();
    expect(
      await app.page.evaluate(
        () =>
          (globalThis as unknown as Page).inside('level-panel[show=output]')?.shadowRoot?.querySelectorAll('.former')
            .length,
      ),
    ).toBeGreaterThan(4);
  });

  it('after an edit in the middle are of the new settings only', async () => {
    await settled(app.page);
    await play();
    await until((workbench) => typeof workbench.levels.latest?.coloured.truePeakDbtp === 'number');
    await drive(-18);
    const at = await levels();
    expect(at?.coloured.truePeakDbtp).toBeNull();
    await settled(app.page);
    await until((workbench) => typeof workbench.levels.latest?.coloured.integratedLufs === 'number');
    expect(await picture()).toBe('now');
  });

  it('of another rack are its own', async () => {
    await app.page.evaluate(() => {
      const workbench = (globalThis as unknown as Page).levelBest;
      workbench.selectRack(workbench.document.channels[0].id);
    });
    expect(await picture()).toBeNull();
    await until((workbench) => workbench.live.latest !== null);
  });

  it('of a new session are none, and it is not called measured', async () => {
    await app.page.evaluate(() => (globalThis as unknown as Page).levelBest.startNewSession());
    expect(await levels()).toBeNull();
    await app.page.waitForTimeout(500);
    expect(await picture()).toBeNull();
    expect((await panel()).flat().every((text) => text === '–')).toBe(true);
    expect(
      await app.page.evaluate(
        () =>
          (globalThis as unknown as Page).inside('session-figures')?.shadowRoot?.querySelector('.heading small')
            ?.textContent,
      ),
    ).not.toContain('measured');
  });

  it('read a sine of −18.0 dBFS as that, at the cursor and in the table', async () => {
    await app.page.evaluate(async () => {
      const rate = 48_000;
      const frames = 8 * rate;
      const bytes = new DataView(new ArrayBuffer(44 + 4 * frames));
      const text = (at: number, value: string) => {
        for (let i = 0; i < value.length; i++) bytes.setUint8(at + i, value.charCodeAt(i));
      };
      text(0, 'RIFF');
      bytes.setUint32(4, 36 + 4 * frames, true);
      text(8, 'WAVEfmt ');
      bytes.setUint32(16, 16, true);
      bytes.setUint16(20, 3, true);
      bytes.setUint16(22, 1, true);
      bytes.setUint32(24, rate, true);
      bytes.setUint32(28, 4 * rate, true);
      bytes.setUint16(32, 4, true);
      bytes.setUint16(34, 32, true);
      text(36, 'data');
      bytes.setUint32(40, 4 * frames, true);
      // Whole periods in the file, so that the loop has no seam: 998.25 Hz, a third of a bin from a bin of 16384 points.
      for (let i = 0; i < frames; i++) {
        bytes.setFloat32(44 + 4 * i, 10 ** (-18 / 20) * Math.sin((2 * Math.PI * 998.25 * i) / rate), true);
      }
      const workbench = (globalThis as unknown as Page).levelBest;
      await workbench.addFiles([new File([bytes], 'Sine.wav')]);
      const [{ id }] = workbench.document.channels;
      workbench.selectRack(id);
      await workbench.player.play();
    });
    await until(
      (workbench) => (workbench.live.latest?.standingTone ?? null) !== null && workbench.live.latest?.waiting === false,
    );
    // The average still holds the moment before the sound came, so both are asked until they stand.
    const reading = () =>
      app.page.evaluate(() => {
        const plot = (globalThis as unknown as Page).inside('spectrum-plot') as HTMLElement;
        const cursor = plot.shadowRoot?.querySelector('.cursor') as HTMLElement;
        cursor.focus();
        cursor.dispatchEvent(new KeyboardEvent('keydown', { key: 'Enter', bubbles: true, composed: true }));
        return plot.shadowRoot?.querySelector('.reading')?.textContent ?? '';
      });
    const expected = /^998 Hz, B5 .*: clean −18\.0, coloured −18\.0, added –$/;
    await expect.poll(reading, { timeout: 600_000, interval: 250 }).toMatch(expected);
    await app.page.evaluate(() =>
      (globalThis as unknown as Page)
        .inside('spectrum-plot')
        ?.shadowRoot?.querySelector<HTMLElement>('button.table')
        ?.click(),
    );
    const cells = () =>
      app.page.evaluate(() => {
        const rows = (globalThis as unknown as Page).inside('spectrum-plot')?.shadowRoot?.querySelectorAll('tbody tr');
        const row = [...(rows ?? [])].find((tr) => tr.textContent?.trim().startsWith('1 k'));
        return [...(row?.querySelectorAll('td') ?? [])].slice(0, 2).map((cell) => cell.textContent);
      });
    await expect.poll(cells, { timeout: 600_000, interval: 100 }).toEqual(['−18.0', '−18.0']);
    expect(app.complaints).toEqual([]);
  });
});
