/** Several tabs of one browser: each works on a session of its own, and none ever writes over another's. */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type App, openApp, settled } from './app.ts';

let app: App;
interface Workbench {
  document: { name: string; notes: string; channels: { name: string }[] };
  canUndo: boolean;
  canRedo: boolean;
  missing: ReadonlySet<string>;
  whenFree(): Promise<void>;
  kept: {
    taken: { name: string } | null;
    sessions: { id: string; name: string; open: string }[];
    look(): Promise<void>;
    open(id: string): Promise<void>;
  };
  notices: { notices: { kind: string; text: string }[] };
  dispatch(command: unknown): void;
  startNewSession(): void;
  addFiles(files: File[]): Promise<void>;
}
type Global = { levelBest: Workbench };

beforeAll(async () => {
  app = await openApp();
  await settled(app.page);
});
afterAll(async () => {
  await app?.close();
});

const workbench = <T>(page: Page, read: (workbench: Workbench) => T): Promise<T> =>
  page.evaluate(`(${read})(globalThis.levelBest)`) as Promise<T>;
const dispatch = (page: Page, command: unknown) =>
  page.evaluate((given) => (globalThis as unknown as Global).levelBest.dispatch(given), command);
const rename = (page: Page, name: string) => dispatch(page, { type: 'rename-session', name });
const nameOf = (page: Page) => workbench(page, ({ document }) => document.name);
const channelsOf = (page: Page) => workbench(page, ({ document }) => document.channels.map(({ name }) => name));
/** Longer than a change waits to be stored. */
const stored = (page: Page) => page.waitForTimeout(1000);

/** The tab has opened what it opens: a session stands, or the question is asked. */
async function opened(page: Page): Promise<void> {
  await page.waitForFunction(() => (globalThis as unknown as Partial<Global>).levelBest !== undefined);
  await page.evaluate(() => (globalThis as unknown as Global).levelBest.whenFree());
}

async function newTab(sessionId?: string): Promise<Page> {
  const page = await app.page.context().newPage();
  if (sessionId) {
    // What a browser does that duplicates a tab: the new one has the old one's storage.
    await page.addInitScript((id) => {
      if (!sessionStorage.getItem('level-best-session')) {
        sessionStorage.setItem('level-best-session', JSON.stringify({ id, start: 'empty' }));
      }
    }, sessionId);
  }
  await page.goto(app.address);
  return page;
}

async function reload(page: Page): Promise<void> {
  await page.reload();
  await opened(page);
}

/** A session of one short file, of its own name. */
async function begin(page: Page, name: string, file: string): Promise<void> {
  await page.evaluate(async (title) => {
    const { levelBest } = globalThis as unknown as Global;
    const frames = 4800;
    const bytes = new DataView(new ArrayBuffer(44 + 2 * frames));
    const word = (at: number, text: string) => {
      for (let i = 0; i < text.length; i++) bytes.setUint8(at + i, text.charCodeAt(i));
    };
    word(0, 'RIFF');
    bytes.setUint32(4, 36 + 2 * frames, true);
    word(8, 'WAVEfmt ');
    bytes.setUint32(16, 16, true);
    bytes.setUint16(20, 1, true);
    bytes.setUint16(22, 1, true);
    bytes.setUint32(24, 48_000, true);
    bytes.setUint32(28, 96_000, true);
    bytes.setUint16(32, 2, true);
    bytes.setUint16(34, 16, true);
    word(36, 'data');
    bytes.setUint32(40, 2 * frames, true);
    const step = 0.01 + 0.001 * (title.charCodeAt(0) % 32);
    for (let i = 0; i < frames; i++) bytes.setInt16(44 + 2 * i, 8000 * Math.sin(step * i), true);
    levelBest.startNewSession();
    await levelBest.addFiles([new File([bytes.buffer], title)]);
  }, file);
  await rename(page, name);
  await stored(page);
}

const question = (page: Page) => page.locator('taken-question dialog[open]');

describe('two tabs', () => {
  let second: Page;

  it('never lose a session to one another', async () => {
    const first = app.page;
    await begin(first, 'Pier', 'melodica.wav');
    second = await newTab();
    await opened(second);
    expect(await question(second).textContent()).toContain('“Pier” is open in another tab');
    await question(second).getByRole('button', { name: 'New session' }).click();
    await begin(second, 'Lighthouse', 'shaker.wav');
    await reload(first);
    expect(await nameOf(first)).toBe('Pier');
    expect(await channelsOf(first)).toEqual(['melodica']);
    expect(await workbench(first, ({ missing }) => missing.size)).toBe(0);
    await reload(second);
    expect(await nameOf(second)).toBe('Lighthouse');
    expect(await channelsOf(second)).toEqual(['shaker']);
  });

  it('list all sessions, and leave each to the tab that has it', async () => {
    const { page: first } = app;
    await first.getByRole('button', { name: 'Sessions…' }).click();
    const rows = first.locator('session-list dialog[open] li');
    await rows.first().waitFor();
    const texts = (await rows.allTextContents()).map((text) => text.replace(/\s+/g, ' '));
    expect(texts.some((text) => /Pier.*1 channel · open here/.test(text))).toBe(true);
    expect(texts.some((text) => /Lighthouse.*1 channel · open in another tab.*Open a copy/.test(text))).toBe(true);
    await first.keyboard.press('Escape');
    const other = await workbench(first, ({ kept }) => kept.sessions.find(({ open }) => open === 'elsewhere')?.id);
    await first.evaluate((id) => (globalThis as unknown as Global).levelBest.kept.open(id as string), other);
    expect(await nameOf(first)).toBe('Pier');
    const said = await workbench(first, ({ notices }) => notices.notices.map(({ text }) => text).join(' '));
    expect(said).toContain('“Lighthouse” is open in another tab. Close it there first, or open a copy.');
  });

  it('of which one is a duplicate of the other work on a copy', async () => {
    const { page: first } = app;
    const id = await workbench(first, ({ kept }) => kept.sessions.find(({ open }) => open === 'here')?.id);
    const third = await newTab(id);
    await opened(third);
    await question(third).getByRole('button', { name: 'Open a copy' }).click();
    await third.waitForFunction(() => (globalThis as unknown as Global).levelBest.document.name === 'Pier, copy');
    expect(await channelsOf(third)).toEqual(['melodica']);
    await dispatch(third, { type: 'set-notes', place: { kind: 'session' }, notes: 'of the copy' });
    await dispatch(first, { type: 'set-notes', place: { kind: 'session' }, notes: 'of the first' });
    await stored(third);
    for (const [page, notes] of [
      [first, 'of the first'],
      [third, 'of the copy'],
    ] as const) {
      await reload(page);
      expect(await workbench(page, ({ document }) => document.notes)).toBe(notes);
    }
    await third.close();
  });

  it('that come at the same instant: one has the session, the other one asks', async () => {
    await second.close();
    const id = await app.page.evaluate(
      () => JSON.parse(sessionStorage.getItem('level-best-session') as string).id as string,
    );
    await app.page.goto('about:blank');
    const tabs = await Promise.all([newTab(id), newTab(id), newTab(id)]);
    await Promise.all(tabs.map(opened));
    const taken = await Promise.all(tabs.map((page) => workbench(page, ({ kept }) => kept.taken?.name ?? null)));
    expect(taken.filter((name) => name === null).length).toBe(1);
    expect(taken.filter((name) => name === 'Pier').length).toBe(2);
    const owner = tabs[taken.indexOf(null)] as Page;
    for (const page of tabs) if (page !== owner) await page.close();
    await app.page.close();
    (app as { page: Page }).page = owner;
  });
});

describe('a tab that goes', () => {
  it('leaves its session to the next one', async () => {
    const { page } = app;
    await dispatch(page, { type: 'set-notes', place: { kind: 'session' }, notes: 'the last one' });
    await stored(page);
    const next = await page.context().newPage();
    await page.close();
    await next.goto(app.address);
    await opened(next);
    expect(await nameOf(next)).toBe('Pier');
    expect(await workbench(next, ({ kept }) => kept.taken)).toBeNull();
    (app as { page: Page }).page = next;
  });

  it.each(['reloaded', 'closed'] as const)('that is %s loses nothing older than a second', async (how) => {
    const { page } = app;
    await dispatch(page, { type: 'set-notes', place: { kind: 'session' }, notes: `before it was ${how}` });
    await page.waitForTimeout(1000);
    if (how === 'reloaded') await reload(page);
    else {
      const next = await page.context().newPage();
      await page.close();
      await next.goto(app.address);
      await opened(next);
      (app as { page: Page }).page = next;
    }
    expect(await workbench(app.page, ({ document }) => document.notes)).toBe(`before it was ${how}`);
  });

  it('keeps its steps of undo, which say what they take back', async () => {
    const { page } = app;
    await dispatch(page, { type: 'remove-channel', channelId: await page.evaluate(firstChannel) });
    await stored(page);
    await reload(page);
    expect(await channelsOf(page)).toEqual([]);
    await page.locator('main').focus();
    await page.keyboard.press('Control+z');
    expect(await channelsOf(page)).toEqual(['melodica']);
    await page.getByText('Undid: removing melodica').waitFor();
    // Its sound comes from the store, where it has waited.
    await page.waitForFunction(() => (globalThis as unknown as Global).levelBest.missing.size === 0);
    await page.keyboard.press('Control+y');
    expect(await channelsOf(page)).toEqual([]);
    await page.keyboard.press('Control+z');
    await stored(page);
    await reload(page);
    expect(await workbench(page, ({ canRedo }) => canRedo)).toBe(true);
  });
});

function firstChannel(): string {
  return (globalThis as unknown as { levelBest: { document: { channels: { id: string }[] } } }).levelBest.document
    .channels[0]?.id as string;
}
