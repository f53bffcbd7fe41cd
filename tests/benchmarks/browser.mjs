/** Runs page.mjs in a real Chromium and returns its figures. */
import { createServer } from 'node:http';
import { build } from 'esbuild';
import { chromium } from 'playwright-core';
import { findBrowser } from '../../scripts/browser.mjs';

async function bundle(entry) {
  const { outputFiles } = await build({
    entryPoints: [entry],
    bundle: true,
    write: false,
    format: 'iife',
    target: 'es2022',
  });
  return outputFiles[0].text;
}

/** @returns {Promise<{ none: number, native: number, engine: number, version: string }>} seconds per second of sound */
export async function measureInBrowser(rounds) {
  const files = {
    '/': ['text/html', '<!doctype html><title>bench</title>'],
    '/page.js': ['text/javascript', await bundle('tests/benchmarks/page.mjs')],
    '/rack.js': ['text/javascript', await bundle('tests/benchmarks/rack.worklet.mjs')],
  };
  const server = createServer((request, response) => {
    const [type, text] = files[request.url] ?? ['text/plain', ''];
    response.writeHead(text ? 200 : 404, { 'content-type': type }).end(text);
  });
  await new Promise((resolve) => server.listen(0, '127.0.0.1', resolve));
  const { executablePath, args, env, headless } = await findBrowser();
  const browser = await chromium.launch({
    executablePath,
    args,
    env: { ...process.env, ...env },
    headless: headless !== false,
  });
  try {
    const page = await browser.newPage();
    // A localhost page is a secure context, which AudioWorklet needs.
    await page.goto(`http://127.0.0.1:${server.address().port}/`);
    await page.addScriptTag({ url: '/page.js' });
    const figures = await page.evaluate((n) => globalThis.measure('/rack.js', n), rounds);
    return { ...figures, version: browser.version() };
  } finally {
    await browser.close();
    server.close();
  }
}
