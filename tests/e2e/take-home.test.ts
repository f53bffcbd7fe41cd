/**
 * The export in a real browser: its files against what the worklet put out while listening, against each other and by
 * ffmpeg; a cancel leaves nothing; the import check knows its own mix.
 */
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdirSync, mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, dirname, join } from 'node:path';
import { unzipSync } from 'fflate';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readWav, writeWav } from '../../src/files/wav.ts';
import type { SessionDocument } from '../../src/session/document.ts';
import { sessionZip } from '../../src/session/session-file.ts';
import { twelveChannels } from '../export/export-rig.ts';
import { decodeToFloat, ebur128, findFfmpeg } from '../support/oracle-ffmpeg.ts';
import { type App, openApp, settled } from './app.ts';
import { bytesOf, clear, filesIn, withPickers } from './pickers.ts';
import { distance, type PlayingWorkbench, recordTake } from './takes.ts';

const RATE = 48000;

interface Workbench extends PlayingWorkbench {
  document: SessionDocument;
  analysis: { clean: { truePeakDbtp: number }; coloured: { truePeakDbtp: number } };
  takeHome: {
    work: { share: number | null } | null;
    ending: { how: string; text: string } | null;
    checked: { check: { verdict: string; comparison: { delaySamples: number; identical: boolean } } | null } | null;
  };
  openSession(file: File): Promise<void>;
}
type Global = { levelBest: Workbench };

let app: App;
let page: Page;
const folder = mkdtempSync(join(tmpdir(), 'level-best-export-'));

beforeAll(async () => {
  // Long enough for an export to be cancelled in the middle.
  app = await openApp({ demoSeconds: 12 });
  page = app.page;
  await withPickers(page);
  await settled(page);
});

afterAll(async () => {
  await app?.close();
});

interface Wanted {
  readonly parts: readonly ('pair' | 'channels' | 'buses' | 'report')[];
  readonly format: 'wav float' | 'wav 24' | 'wav 16' | 'flac 24' | 'flac 16';
}

/** Opens the sheet by its key, chooses, and presses the button. */
async function begin({ parts, format }: Wanted, button: string): Promise<void> {
  await page.keyboard.press('e');
  for (const part of ['pair', 'channels', 'buses', 'report'] as const) {
    await page.locator(`take-home-sheet input[name=${part}]`).setChecked(parts.includes(part));
  }
  await page.locator('take-home-sheet #format').selectOption(format);
  await page.getByRole('button', { name: button }).click();
}

/** Waits until the export has ended, closes the sheet, and gives what it said. */
async function ended(): Promise<{ how: string; text: string }> {
  await page.waitForFunction(() => {
    const { work, ending } = (globalThis as unknown as Global).levelBest.takeHome;
    return work === null && ending !== null;
  });
  const ending = await page.evaluate(() => (globalThis as unknown as Global).levelBest.takeHome.ending);
  await page.keyboard.press('Escape');
  return ending as { how: string; text: string };
}

async function exportTo(button: 'Write one ZIP…' | 'Write into a folder…', wanted: Wanted): Promise<string> {
  await begin(wanted, button);
  const { how, text } = await ended();
  expect(how, text).toBe('written');
  return text;
}

/** Both mixes as floats through a folder, against takes of both sides. */
async function compareWithTakes(name: string, seconds: number): Promise<void> {
  const peaks = await page.evaluate(() => {
    const { clean, coloured } = (globalThis as unknown as Global).levelBest.analysis;
    return [clean.truePeakDbtp, coloured.truePeakDbtp];
  });
  // The output guard stays idle below its ceiling of −1 dBTP.
  expect(Math.max(...peaks)).toBeLessThan(-1.5);
  await clear(page, 'folder');
  await exportTo('Write into a folder…', { parts: ['pair'], format: 'wav float' });
  for (const side of ['clean', 'coloured'] as const) {
    const take = await recordTake(page, { side, seconds: seconds + 0.5 });
    const { channels, sampleRate } = readWav(await bytesOf(page, 'folder', `${name} export/${side}.wav`));
    expect(sampleRate).toBe(RATE);
    const { delay, peakDbfs } = distance(take, channels, RATE, seconds);
    console.log(`${name}, ${side}: exported against heard ${peakDbfs.toFixed(1)} dBFS, heard ${delay} frames later`);
    expect(peakDbfs).toBeLessThan(-140);
  }
}

describe('the demo session', () => {
  let entries: Record<string, Uint8Array> = {};

  it('is exported as it was heard', async () => {
    await compareWithTakes('Harbour Hall sextet', 5);
  });

  it('comes as one ZIP, with its report', async () => {
    await clear(page, 'files');
    const text = await exportTo('Write one ZIP…', {
      parts: ['pair', 'channels', 'buses', 'report'],
      format: 'flac 24',
    });
    expect(text).toBe('Written: 13 files in "Harbour Hall sextet export.zip".');
    // An independent reader of ZIPs.
    entries = unzipSync(await bytesOf(page, 'files', 'Harbour Hall sextet export.zip'));
    expect(Object.keys(entries).filter((name) => name.startsWith('channel'))).toHaveLength(6);
    expect(new TextDecoder().decode(entries['report.html'])).toContain('Harbour Hall sextet');
    expect(JSON.parse(new TextDecoder().decode(entries['report.json'])).session.matchSource).toBe('stored');
  });

  it.skipIf(findFfmpeg() === null)('has FLACs that ffmpeg reads, all of one length, matched to 0.1 LU', async () => {
    const floats = readWav(await bytesOf(page, 'folder', 'Harbour Hall sextet export/coloured.wav')).channels;
    const decoded = Object.entries(entries)
      .filter(([name]) => name.endsWith('.flac'))
      .map(([name, bytes]) => {
        const path = join(folder, name);
        mkdirSync(dirname(path), { recursive: true });
        writeFileSync(path, bytes);
        return { name, path, ...decodeToFloat(path) };
      });
    const lengths = new Set(decoded.map(({ channels }) => channels[0].length));
    expect(lengths.size).toBe(1);
    const coloured = decoded.find(({ name }) => name === 'coloured.flac')!;
    // What rings on behind is as long as the longest of all files, and the mixes alone may end sooner.
    const frames = Math.min(floats[0].length, coloured.channels[0].length);
    let most = 0;
    for (let side = 0; side < 2; side++) {
      for (let i = 0; i < frames; i++) {
        most = Math.max(most, Math.abs(coloured.channels[side][i] - floats[side][i]));
      }
    }
    // Half a step of 24 bits, and the rounding of the float that ffmpeg gives.
    expect(most).toBeLessThanOrEqual(0.51 * 2 ** -23);
    const loudness = (name: string) => ebur128(join(folder, name)).integratedLufs;
    expect(Math.abs(loudness('coloured.flac') - loudness('clean.flac'))).toBeLessThan(0.1);
  });

  it('is told from its own clean mix, and from one that starts later', async () => {
    const clean = readWav(await bytesOf(page, 'folder', 'Harbour Hall sextet export/clean.wav'));
    const late = clean.channels.map((plane) => {
      const out = new Float32Array(plane.length + 441);
      out.set(plane, 441);
      return out.map((x) => 0.5 * x);
    });
    const files = { same: clean.channels, late };
    const verdicts: unknown[] = [];
    await page.keyboard.press('e');
    for (const [name, channels] of Object.entries(files)) {
      const path = join(folder, `${name}.wav`);
      writeFileSync(path, writeWav({ channels, sampleRate: RATE }, { bits: 24 }));
      await page.locator('take-home-sheet #mixdown').setInputFiles(path);
      await page.waitForFunction(() => {
        const { work, checked } = (globalThis as unknown as Global).levelBest.takeHome;
        return work === null && checked !== null;
      });
      verdicts.push(
        await page.evaluate(() => {
          const { checked } = (globalThis as unknown as Global).levelBest.takeHome;
          return [checked?.check?.verdict, checked?.check?.comparison.delaySamples];
        }),
      );
    }
    await page.keyboard.press('Escape');
    expect(verdicts).toEqual([
      ['stands', 0],
      ['offset', 441],
    ]);
  });

  it('has its report saved by itself', async () => {
    await clear(page, 'files');
    await page.keyboard.press('e');
    for (const [button, name] of [
      ['Markdown…', 'Harbour Hall sextet report.md'],
      ['HTML…', 'Harbour Hall sextet report.html'],
    ]) {
      await page.getByRole('button', { name: button }).click();
      await page.waitForFunction((file) => {
        const { work, ending } = (globalThis as unknown as Global).levelBest.takeHome;
        return work === null && ending?.text === `Written: "${file}".`;
      }, name);
    }
    await page.keyboard.press('Escape');
    const text = async (name: string) => new TextDecoder().decode(await bytesOf(page, 'files', name));
    expect(await text('Harbour Hall sextet report.md')).toMatch(/^# Harbour Hall sextet/);
    expect(await text('Harbour Hall sextet report.html')).toMatch(/^<!doctype html>/i);
  });

  it.each([
    ['Write into a folder…', 'folder'],
    ['Write one ZIP…', 'files'],
  ] as const)('leaves nothing behind when "%s" is cancelled in the middle', async (button, place) => {
    await clear(page, place);
    await begin({ parts: ['pair', 'channels', 'buses'], format: 'wav 24' }, button);
    await page.waitForFunction(() => ((globalThis as unknown as Global).levelBest.takeHome.work?.share ?? 0) > 0.2);
    expect(Object.keys(await filesIn(page, place)).length).toBeGreaterThan(0);
    await page.getByRole('button', { name: 'Cancel' }).click();
    const { how, text } = await ended();
    expect([how, text]).toEqual(['cancelled', 'The export was cancelled, and nothing is left of it.']);
    expect(await filesIn(page, place)).toEqual({});
  });
});

describe('twelve channels of three stages', () => {
  it('are exported as they were heard', async () => {
    const { document, sources } = twelveChannels(4);
    const files = new Map<string, Uint8Array<ArrayBuffer>>();
    const channels = document.channels.map((channel, index) => {
      const planes = sources.get(channel.id)!.map((plane) => plane.slice());
      const bext = { description: `Desk ${index + 1}`, timeReference: RATE * 3600 };
      const bytes = new Uint8Array(writeWav({ channels: planes, sampleRate: RATE, bext }, { bits: 'float' }));
      const sha256 = createHash('sha256').update(bytes).digest('hex');
      files.set(sha256, bytes);
      const audio = { sha256, sampleRate: RATE, channelCount: planes.length, frames: planes[0].length, bext };
      return { ...channel, gainDb: channel.gainDb - 12, audio: { ...audio, file: `desk ${index + 1}.wav` } };
    });
    const zip = await new Response(sessionZip({ ...document, channels }, files)).arrayBuffer();
    await page.evaluate(async (base64) => {
      const bytes = Uint8Array.from(atob(base64), (c) => c.charCodeAt(0));
      await (globalThis as unknown as Global).levelBest.openSession(new File([bytes], 'twelve.zip'));
    }, Buffer.from(zip).toString('base64'));
    await settled(page);
    await compareWithTakes('Harbour Hall twelve', 3);
  });

  it.skipIf(findFfmpeg() === null)('keep their place in time and description, as ffmpeg reads them', async () => {
    await clear(page, 'folder');
    await exportTo('Write into a folder…', { parts: ['channels', 'buses'], format: 'wav 16' });
    const tags = async (name: string) => {
      const path = join(folder, basename(name));
      writeFileSync(path, await bytesOf(page, 'folder', `Harbour Hall twelve export/${name}`));
      const read = spawnSync(findFfmpeg() as string, ['-hide_banner', '-i', path, '-f', 'ffmetadata', '-']);
      return Object.fromEntries(
        read.stdout
          .toString()
          .split('\n')
          .filter((line) => line.includes('='))
          .map((line) => [line.slice(0, line.indexOf('=')), line.slice(line.indexOf('=') + 1)]),
      );
    };
    const channel = await tags('channels before fader/desk 3.wav');
    // ffmpeg writes description and originator under names of its own.
    expect(channel).toMatchObject({ time_reference: '172800000', comment: 'Desk 3', encoded_by: 'Level Best' });
    expect(channel.coding_history).toContain('F\\=48000');
    expect(channel.date).toMatch(/^\d{4}-\d\d-\d\d$/);
    const bus = await tags('buses before fader/Low.wav');
    expect(bus).toMatchObject({ time_reference: '172800000', comment: 'Harbour Hall, twelve: bus Low' });
  });

  it('raises no complaint', () => {
    expect(app.complaints).toEqual([]);
  });
});

describe('a browser without a picker', () => {
  it('downloads the ZIP, and nothing when it is cancelled', async () => {
    const plain = await openApp({ demoSeconds: 12 });
    try {
      page = plain.page;
      await settled(page);
      let downloads = 0;
      page.on('download', () => downloads++);
      await begin({ parts: ['pair'], format: 'wav 24' }, 'Write one ZIP…');
      await page.waitForFunction(() => ((globalThis as unknown as Global).levelBest.takeHome.work?.share ?? 0) > 0.1);
      await page.getByRole('button', { name: 'Cancel' }).click();
      expect((await ended()).how).toBe('cancelled');
      const saved = page.waitForEvent('download');
      await exportTo('Write one ZIP…', { parts: ['pair'], format: 'wav 16' });
      const file = await saved;
      expect(file.suggestedFilename()).toBe('Harbour Hall sextet export.zip');
      expect(downloads).toBe(1);
      const entries = unzipSync(new Uint8Array(readFileSync(await file.path())));
      expect(Object.keys(entries)).toEqual(['clean.wav', 'coloured.wav']);
      expect(readWav(new Uint8Array(entries['clean.wav'])).bits).toBe(16);
      expect(plain.complaints).toEqual([]);
    } finally {
      await plain.close();
    }
  });
});
