/** scripts/serve.mjs, which `npm start` runs last: its address, its files, and what it says when it can't. */
import { type ChildProcess, spawn } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createServer, type Server } from 'node:net';
import { join } from 'node:path';
import { afterAll, afterEach, describe, expect, it } from 'vitest';
import { root } from './cli.ts';

// Below the project, so that the script finds its packages.
mkdirSync(join(root, '.cache'), { recursive: true });
const folder = mkdtempSync(join(root, '.cache', 'serve-test-'));
mkdirSync(join(folder, 'scripts'));
cpSync(join(root, 'scripts/serve.mjs'), join(folder, 'scripts/serve.mjs'));

const running: ChildProcess[] = [];

/** Starts it; resolves with what it has said once it has said where it is, or has ended. */
function serve(env: Record<string, string> = {}): Promise<{ said: string; status: number | null }> {
  const child = spawn(process.execPath, [join(folder, 'scripts/serve.mjs')], { env: { ...process.env, ...env } });
  running.push(child);
  return new Promise((resolve) => {
    let said = '';
    const hear = (chunk: Buffer) => {
      said += chunk.toString();
      if (/https/.test(said)) resolve({ said, status: null });
    };
    child.stdout.on('data', hear);
    child.stderr.on('data', hear);
    child.on('close', (status) => resolve({ said, status }));
  });
}

afterEach(() => {
  for (const child of running.splice(0)) child.kill();
});
afterAll(() => rmSync(folder, { recursive: true }));

async function taken(): Promise<{ server: Server; port: number }> {
  const server = createServer();
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  return { server, port: (server.address() as { port: number }).port };
}

describe('serve', () => {
  it('says what to do before there is a build', async () => {
    expect(await serve()).toEqual({ said: 'The tool has not been built yet; run "npm run build" first.\n', status: 1 });
  });

  it('serves the build at the address it prints, and says what sound needs', async () => {
    mkdirSync(join(folder, 'dist'), { recursive: true });
    writeFileSync(join(folder, 'dist/index.html'), '<!doctype html><title>Level Best</title>');
    const { said } = await serve();
    const address = /http:\/\/127\.0\.0\.1:\d+\//.exec(said)?.[0] ?? '';
    expect(said).toMatch(/AudioWorklet.*localhost.*https/);
    const answer = await fetch(address);
    expect(answer.status).toBe(200);
    expect(await answer.text()).toContain('Level Best');
    expect((await fetch(`${address}nothing.js`)).status).toBe(404);
  });

  it('takes the next port where one is in use, and the one it is told', async () => {
    const first = /:(\d+)\//.exec((await serve()).said)?.[1];
    const second = /:(\d+)\//.exec((await serve()).said)?.[1];
    expect(Number(second)).toBeGreaterThan(Number(first));
    const { server, port } = await taken();
    server.close();
    expect((await serve({ PORT: `${port}` })).said).toContain(`http://127.0.0.1:${port}/`);
  });

  it('ends with a sentence when the port it is told is in use or is none', async () => {
    const { server, port } = await taken();
    const { said, status } = await serve({ PORT: `${port}` });
    server.close();
    expect([said, status]).toEqual([`Port ${port} is in use; choose another: PORT=8080 npm start.\n`, 1]);
    expect(await serve({ PORT: 'eighty' })).toEqual({
      said: 'PORT must be a number from 0 to 65535; it was eighty.\n',
      status: 1,
    });
  });
});
