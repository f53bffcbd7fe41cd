/** The built tool in a real browser, for end-to-end tests. */
import { existsSync } from 'node:fs';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { type Browser, chromium, type Page } from 'playwright-core';
import sirv from 'sirv';
import { findBrowser } from '../../scripts/browser.mjs';
import { shortDemo } from './short-demo.ts';

/** A build to test; another one may stand beside the usual one while several people work. */
const BUILD = process.env.LEVEL_BEST_DIST ?? 'dist';

/** Milliseconds after which something hangs for certain, on the slowest machine. */
const PATIENCE = 10 * 60_000;

export interface App {
  readonly page: Page;
  /** Errors and warnings of the page's console, and uncaught exceptions. */
  readonly complaints: string[];
  readonly address: string;
  close(): Promise<void>;
}

export interface AppOptions {
  readonly width?: number;
  readonly height?: number;
  /** Of the demo only its first seconds are served, since the page measures it at every start; null for all of it. */
  readonly demoSeconds?: number | null;
}

/** Starts the built tool on a free port and opens it in the browser the tests use. */
export async function openApp(options: AppOptions = {}): Promise<App> {
  if (!existsSync(`${BUILD}/index.html`)) throw new Error('There is no build: run `npm run build` first.');
  const { demoSeconds = 4 } = options;
  const replaced = demoSeconds === null ? null : await shortDemo(BUILD, demoSeconds);
  const serve = sirv(BUILD, { dev: false });
  const server: Server = createServer((request, response) => {
    const other = replaced?.(request.url ?? '');
    if (other) response.setHeader('Content-Type', other.type).end(other.body);
    else serve(request, response);
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const address = `http://localhost:${(server.address() as AddressInfo).port}/`;
  const found = await findBrowser();
  const browser: Browser = await chromium.launch({
    executablePath: found.executablePath,
    args: found.args,
    env: { ...process.env, ...found.env } as Record<string, string>,
    headless: true,
  });
  const context = await browser.newContext({
    viewport: { width: options.width ?? 1400, height: options.height ?? 900 },
  });
  // The page puts the workbench there: see src/main.ts.
  await context.addInitScript(() => Object.assign(globalThis, { levelBest: null }));
  // A file picker can't be driven from a test; without one, files are saved as downloads.
  await context.addInitScript(() => {
    Reflect.deleteProperty(window, 'showOpenFilePicker');
    Reflect.deleteProperty(window, 'showSaveFilePicker');
    Reflect.deleteProperty(window, 'showDirectoryPicker');
  });
  context.setDefaultTimeout(PATIENCE);
  const page = await context.newPage();
  const complaints: string[] = [];
  page.on('console', (message) => {
    if (message.type() === 'error' || message.type() === 'warning') complaints.push(message.text());
  });
  page.on('pageerror', (error) => complaints.push(error.message));
  await page.goto(address);
  return {
    page,
    complaints,
    address,
    async close() {
      await browser.close();
      await new Promise((resolve) => server.close(resolve));
    },
  };
}

/** Waits until all figures are of the document as it is. */
export async function settled(page: Page): Promise<void> {
  await page.waitForFunction(() => {
    const workbench = (globalThis as { levelBest?: { analysis: { status: string; clean: unknown } } }).levelBest;
    return workbench?.analysis.status === 'idle' && workbench.analysis.clean !== null;
  });
}
