/**
 * A folder of stems is dropped, coloured several channels at a time, and is there again tomorrow: after a reload, after
 * the browser lost a file, and from a session file that came without its sound. What is rendered from the sound that
 * the page holds is the same to the bit each time.
 */
import { createHash } from 'node:crypto';
import { mkdirSync, mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/dsp/random.ts';
import { writeWav } from '../../src/files/wav.ts';
import { runToEnd } from '../../src/render/run-steps.ts';
import { renderSession } from '../../src/render/session-render.ts';
import type { SessionDocument } from '../../src/session/document.ts';
import { parseSession } from '../../src/session/document.ts';
import { type App, openApp, settled } from './app.ts';

interface Workbench {
  document: SessionDocument;
  sounds: { of(document: SessionDocument): Map<string, Float32Array[]> };
  notices: { notices: { text: string }[] };
  live: { latest: { colouredPeakDbfs: number } | null };
  selectRack(rackId: string): void;
  dispatch(command: unknown): void;
  addStage(rackId: string, kind: string): string;
}
type Global = { levelBest: Workbench };

const folder = mkdtempSync(join(tmpdir(), 'level-best-folder-'));
const stems = join(folder, 'Harbour stems');
const STEMS = [
  { file: '1 melodica.wav', seconds: 4, rate: 48000 },
  { file: '2 accordion.wav', seconds: 3, rate: 44100 },
  { file: '3 shaker.wav', seconds: 4, rate: 48000 },
  { file: '10 bass.wav', seconds: 2.5, rate: 48000 },
  { file: 'far/room.wav', seconds: 4, rate: 48000 },
];

/** Notes with their harmonics and some breath, a different one for each seed. */
function stem(seed: number, seconds: number, sampleRate: number): Uint8Array {
  const random = seededRandom(seed);
  const tone = 110 * 1.5 ** (seed % 5);
  const plane = Float32Array.from({ length: Math.round(seconds * sampleRate) }, (_, i) => {
    const t = i / sampleRate;
    const swell = 0.2 * Math.sin(Math.PI * ((t * 2) % 1)) ** 2;
    return swell * (Math.sin(2 * Math.PI * tone * t) + 0.3 * Math.sin(6 * Math.PI * tone * t) + 0.1 * (random() - 0.5));
  });
  return writeWav(
    { channels: [plane], sampleRate, bext: { timeReference: sampleRate * 3600, description: `Stem ${seed}` } },
    { bits: 24 },
  );
}

let app: App;
let page: Page;

beforeAll(async () => {
  mkdirSync(join(stems, 'far'), { recursive: true });
  STEMS.forEach(({ file, seconds, rate }, index) => {
    writeFileSync(join(stems, file), stem(index + 1, seconds, rate));
  });
  writeFileSync(join(stems, 'notes.txt'), 'The room microphones are late by 11 ms.');
  writeFileSync(join(stems, '.hidden.wav'), stem(99, 1, 48000));
  app = await openApp();
  page = app.page;
  await settled(page);
});
afterAll(async () => {
  await app?.close();
});

const documentOf = (target: Page) =>
  target
    .evaluate(() => JSON.stringify((globalThis as unknown as Global).levelBest.document))
    .then((text) => parseSession(JSON.parse(text)));
const texts = (target: Page) =>
  target.evaluate(() => (globalThis as unknown as Global).levelBest.notices.notices.map(({ text }) => text).join('\n'));
const channelCount = (target: Page, count: number) =>
  target.waitForFunction(
    (wanted) => (globalThis as unknown as Global).levelBest.document.channels.length === wanted,
    count,
  );
const missingSigns = (target: Page) => target.locator('signal-path .missing').count();

/** SHA-256 of both sides, rendered from the document and the very samples that the page holds. */
async function renderHash(target: Page): Promise<string> {
  await settled(target);
  const document = await documentOf(target);
  const held = await target.evaluate(() => {
    const workbench = (globalThis as unknown as Global).levelBest;
    return [...workbench.sounds.of(workbench.document)].map(([id, planes]) => {
      const texts = planes.map((plane) => {
        const bytes = new Uint8Array(plane.buffer, plane.byteOffset, plane.byteLength);
        let text = '';
        for (let i = 0; i < bytes.length; i += 0x8000) text += String.fromCharCode(...bytes.subarray(i, i + 0x8000));
        return btoa(text);
      });
      return [id, texts] as const;
    });
  });
  const sources = new Map(
    held.map(([id, planes]) => [
      id,
      planes.map((text) => new Float32Array(Uint8Array.from(Buffer.from(text, 'base64')).buffer)),
    ]),
  );
  expect(sources.size).toBe(document.channels.length);
  const { clean, coloured } = runToEnd(renderSession(document, sources, { factor: 4 }));
  const hash = createHash('sha256');
  for (const plane of [...clean, ...coloured])
    hash.update(new Uint8Array(plane.buffer, plane.byteOffset, plane.byteLength));
  return hash.digest('hex');
}

/** As a person drops it from a file manager. */
async function drop(target: Page, path: string): Promise<void> {
  const session = await target.context().newCDPSession(target);
  const data = { items: [], files: [path], dragOperationsMask: 1 };
  for (const type of ['dragEnter', 'dragOver', 'drop'] as const) {
    await session.send('Input.dispatchDragEvent', { type, x: 700, y: 450, data });
  }
}

async function addFolder(target: Page, path: string): Promise<void> {
  const chooser = target.waitForEvent('filechooser');
  await target.getByRole('button', { name: 'Add a folder…' }).click();
  await (await chooser).setFiles(path);
}

async function addFiles(target: Page, ...paths: string[]): Promise<void> {
  const chooser = target.waitForEvent('filechooser');
  await target.getByRole('button', { name: 'Add audio files…' }).click();
  await (await chooser).setFiles(paths);
}

let before = '';

describe('a folder of stems', () => {
  it('comes in by one drop: audio in natural order, the rest counted, hidden files unseen', async () => {
    // The demo, which nobody has touched, makes room for them.
    await drop(page, stems);
    await channelCount(page, 5);
    const document = await documentOf(page);
    expect(document.channels.map(({ name }) => name)).toEqual([
      '1 melodica',
      '2 accordion',
      '3 shaker',
      '10 bass',
      'room',
    ]);
    expect(document.name).toBe('Harbour stems');
    expect(document.sampleRate).toBe(48000);
    expect(document.channels[1].audio?.bext).toEqual({ timeReference: 44100 * 3600, description: 'Stem 2' });
    const said = await texts(page);
    expect(said).toContain('notes.txt is not audio and was left out.');
    expect(said).toContain('2 accordion.wav has another sample rate than the session.');
    await settled(page);
    // All of it is one step.
    await page.getByRole('button', { name: 'Undo' }).click();
    await channelCount(page, 0);
    await page.getByRole('button', { name: 'Redo' }).click();
    await channelCount(page, 5);
    expect(await missingSigns(page)).toBe(0);
  });

  it('has its drives linked and a rack copied to three channels, by hand', async () => {
    const { channels } = await documentOf(page);
    const [melodica, accordion] = channels;
    await page.evaluate(
      ([first, second]) => {
        const workbench = (globalThis as unknown as Global).levelBest;
        workbench.addStage(first, 'soft-clip');
        workbench.addStage(first, 'diode-pair');
        workbench.addStage(second, 'harmonic-set');
        workbench.selectRack(first);
      },
      [melodica.id, accordion.id],
    );
    const column = page.locator('stage-column').first();
    await column.getByText('Circuit').click();
    await column.getByText('Link drive with…').click();
    await column.locator('drive-link').getByText('1 Harmonic set').click();
    await column.getByText('with 2 accordion 1').waitFor();
    // Each stage's drive was chosen for its own sound; linked, both move by as much.
    const drives = (document: SessionDocument) =>
      document.channels.slice(0, 2).map(({ rack }) => Number(rack.stages[0].params.drive));
    const started = drives(await documentOf(page));
    await column.getByRole('slider', { name: 'Drive', exact: true }).press('PageUp');
    const [first, second] = drives(await documentOf(page)).map((drive, index) => drive - started[index]);
    expect(first).toBeGreaterThan(0);
    expect(second).toBeCloseTo(first, 9);

    await page.locator('rack-copy summary').click();
    for (const name of ['3 shaker', '10 bass', 'room']) await page.locator('rack-copy').getByText(name).click();
    await page.locator('rack-copy').getByRole('button', { name: 'Copy to 3 racks' }).click();
    const after = await documentOf(page);
    const kinds = after.channels.map(({ rack }) => rack.stages.map(({ kind }) => kind).join(' '));
    expect(kinds).toEqual([
      'soft-clip diode-pair',
      'harmonic-set',
      'soft-clip diode-pair',
      'soft-clip diode-pair',
      'soft-clip diode-pair',
    ]);
    expect(after.links.length).toBe(1);
  });

  it('is all there after a reload', async () => {
    before = await renderHash(page);
    const document = await documentOf(page);
    await page.waitForTimeout(500);
    await page.reload();
    await settled(page);
    expect(await documentOf(page)).toEqual(document);
    expect(await renderHash(page)).toBe(before);
    await page.getByRole('button', { name: '1 melodica', exact: true }).click();
    await page.getByText('with 2 accordion 1').waitFor();
  });

  it('finds a file that the browser lost, at its channel', async () => {
    const { channels } = await documentOf(page);
    await page.evaluate(
      (sha256) =>
        new Promise<void>((resolve, reject) => {
          const opening = indexedDB.open('level-best');
          opening.onerror = () => reject(opening.error);
          opening.onsuccess = () => {
            const transaction = opening.result.transaction('audio', 'readwrite');
            transaction.objectStore('audio').delete(sha256);
            transaction.oncomplete = () => {
              opening.result.close();
              resolve();
            };
          };
        }),
      channels[3].audio?.sha256 as string,
    );
    await page.reload();
    await page.getByText('no sound').first().waitFor();
    expect(await missingSigns(page)).toBe(1);
    expect(await texts(page)).toContain('The browser no longer has 10 bass.wav.');
    const chooser = page.waitForEvent('filechooser');
    await page.getByRole('button', { name: 'Find file… for 10 bass' }).click();
    await (await chooser).setFiles(join(stems, '10 bass.wav'));
    await page.getByText('10 bass: the sound is back.').first().waitFor();
    expect(await missingSigns(page)).toBe(0);
    expect(await renderHash(page)).toBe(before);
  });

  it('takes another version of a file when told to, and gives the earlier one back by undo', async () => {
    const changed = join(folder, '3 shaker.wav');
    writeFileSync(changed, stem(77, 4, 48000));
    await addFiles(page, changed);
    await page.getByText('This is another version of “3 shaker.wav”: use it?').waitFor();
    await page.getByRole('button', { name: 'Use it instead' }).click();
    expect((await documentOf(page)).channels.length).toBe(5);
    expect(await renderHash(page)).not.toBe(before);
    await page.getByRole('button', { name: 'Undo' }).click();
    expect(await renderHash(page)).toBe(before);
  });

  it('lets sound go where room is needed, and undo brings it back from the store', async () => {
    // As on a small machine: 3.5 MB of sound, of which the stems are 3.4 MB.
    await page.evaluate(() => Object.defineProperty(navigator, 'deviceMemory', { value: 0.014, configurable: true }));
    const more = join(folder, 'more.wav');
    writeFileSync(more, stem(55, 2, 48000));
    const { channels } = await documentOf(page);
    await page.evaluate((channelId) => {
      (globalThis as unknown as Global).levelBest.dispatch({ type: 'remove-channel', channelId });
    }, channels[2].id);
    await addFiles(page, more);
    await channelCount(page, 5);
    const undo = page.getByRole('button', { name: 'Undo' });
    await undo.click();
    await undo.click();
    await channelCount(page, 5);
    await page.waitForFunction(() => {
      const workbench = (globalThis as unknown as Global).levelBest;
      return workbench.sounds.of(workbench.document).size === 5;
    });
    expect(await renderHash(page)).toBe(before);
    await page.evaluate(() => Reflect.deleteProperty(navigator, 'deviceMemory'));
  });

  it('opens elsewhere without its sound, is silent where it must be, and sounds the same once the folder is added', async () => {
    const download = page.waitForEvent('download');
    await page.getByText('Save, open, notes').click();
    await page.getByRole('button', { name: 'Save session…' }).click();
    const saved = join(folder, 'saved.json');
    await (await download).saveAs(saved);

    // Another browser profile: nothing is stored there.
    const elsewhere = await openApp();
    try {
      const other = elsewhere.page;
      await settled(other);
      const chooser = other.waitForEvent('filechooser');
      await other.getByText('Save, open, notes').click();
      await other.getByRole('button', { name: 'Open session…' }).click();
      await (await chooser).setFiles(saved);
      await channelCount(other, 5);
      await other.getByText('no sound').first().waitFor();
      expect(await missingSigns(other)).toBe(5);
      expect(parseSession(JSON.parse(readFileSync(saved, 'utf8')))).toEqual(await documentOf(other));
      await addFolder(other, stems);
      await other.getByText('1 melodica, 2 accordion, 3 shaker, 10 bass, room: the sound is back.').first().waitFor();
      expect(await missingSigns(other)).toBe(0);
      expect((await documentOf(other)).channels.length).toBe(5);
      expect(await renderHash(other)).toBe(before);
      await other.getByRole('button', { name: 'Play' }).click();
      await other.waitForFunction(
        () => ((globalThis as unknown as Global).levelBest.live.latest?.colouredPeakDbfs ?? -200) > -40,
      );
      expect(elsewhere.complaints).toEqual([]);
    } finally {
      await elsewhere.close();
    }
  });

  it('leaves the console silent', () => {
    expect(app.complaints).toEqual([]);
  });
});
