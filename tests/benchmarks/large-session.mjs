/**
 * Tries a large session in the built tool: node tests/benchmarks/large-session.mjs [files] [minutes] [build folder].
 * Stereo noise at 48 kHz, a stage on every channel; prints what the tab takes and every sentence it says. By hand only:
 * 24 files of five minutes take 8 GB of memory.
 */
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import sirv from 'sirv';
import { findBrowser } from '../../scripts/browser.mjs';

const [count = 24, minutes = 5] = process.argv.slice(2, 4).map(Number);
const build = process.argv[4] ?? 'dist';
const folder = mkdtempSync(join(tmpdir(), 'level-best-large-'));
const server = createServer(sirv(build));
await new Promise((resolve) => server.listen(0, '127.0.0.1', resolve));
const found = await findBrowser();
const { executablePath, args } = found;
const browser = await chromium.launch({ executablePath, args, env: { ...process.env, ...found.env }, headless: true });
try {
  await run(await (await browser.newContext()).newPage());
} finally {
  await browser.close();
  server.close();
  rmSync(folder, { recursive: true });
}

async function run(page) {
  page.on('crash', () => console.log('The tab went down.'));
  await page.addInitScript(() => Object.assign(globalThis, { levelBest: null }));
  await page.goto(`http://localhost:${server.address().port}/`);
  await page.waitForFunction(() => globalThis.levelBest?.player.state === 'ready');
  await page.evaluate(() => {
    globalThis.levelBest.startNewSession();
    const input = Object.assign(document.createElement('input'), { type: 'file', multiple: true, id: 'probe' });
    document.body.append(input);
  });
  const files = Array.from({ length: count }, (_, index) => noiseFile(index));
  await page.setInputFiles('#probe', files);
  await page.evaluate(() => globalThis.levelBest.addFiles([...document.getElementById('probe').files]));
  await say(page, 'added');
  await page.evaluate(() => {
    const workbench = globalThis.levelBest;
    for (const { id } of workbench.document.channels) workbench.addStage(id, 'soft-clip');
  });
  await page.waitForFunction(() => globalThis.levelBest.analysis.status !== 'working', null, { timeout: 300_000 });
  await say(page, 'measured');
  await page.evaluate(() => globalThis.levelBest.player.play());
  await page.waitForTimeout(3000);
  await say(page, 'playing');
  await page.reload();
  await page.waitForFunction(() => globalThis.levelBest?.player.state === 'ready', null, { timeout: 300_000 });
  await say(page, 'loaded again');
}

async function say(page, what) {
  const { channels, ...state } = await page.evaluate(() => {
    const { document, player, analysis, notices } = globalThis.levelBest;
    return {
      channels: document.channels.length,
      player: player.state,
      matched: analysis.shortened,
      notices: notices.notices.map(({ text }) => text),
    };
  });
  console.log(`${what}: ${channels} channels, ${largestTab()} GB`, JSON.stringify(state));
}

/** Resident memory of the largest renderer process, GB; where there is no /proc, a dash. */
function largestTab() {
  try {
    const sizes = readdirSync('/proc').flatMap((id) => {
      if (!/^\d+$/.test(id)) return [];
      try {
        if (!readFileSync(`/proc/${id}/cmdline`, 'utf8').includes('--type=renderer')) return [];
        return Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${id}/status`, 'utf8'))?.[1] ?? 0) / 1e6;
      } catch {
        return [];
      }
    });
    return Math.max(...sizes).toFixed(1);
  } catch {
    return '–';
  }
}

/** A 16-bit stereo WAV of seeded noise around −23 dBFS. */
function noiseFile(index) {
  const frames = Math.round(minutes * 60 * 48_000);
  const bytes = Buffer.alloc(44 + 4 * frames);
  bytes.write('RIFF', 0);
  bytes.writeUInt32LE(36 + 4 * frames, 4);
  bytes.write('WAVEfmt ', 8);
  bytes.writeUInt32LE(16, 16);
  bytes.writeUInt16LE(1, 20);
  bytes.writeUInt16LE(2, 22);
  bytes.writeUInt32LE(48_000, 24);
  bytes.writeUInt32LE(4 * 48_000, 28);
  bytes.writeUInt16LE(4, 32);
  bytes.writeUInt16LE(16, 34);
  bytes.write('data', 36);
  bytes.writeUInt32LE(4 * frames, 40);
  let state = index + 1;
  for (let at = 44; at < bytes.length; at += 2) {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    bytes.writeInt16LE((state >>> 19) - 4096, at);
  }
  const path = join(folder, `noise ${index + 1}.wav`);
  writeFileSync(path, bytes);
  return path;
}
