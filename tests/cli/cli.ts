/** The command line as it is built, in a process of its own or in one that runs it again and again. */
import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { MessageChannel, type MessagePort, receiveMessageOnPort, Worker } from 'node:worker_threads';
import { sine } from '../../src/dsp/tones.ts';
import { dbToGain } from '../../src/dsp/units.ts';
import type { AudioData } from '../../src/files/audio-data.ts';
import type { WavOptions } from '../../src/files/wav.ts';
import { readWav, writeWav } from '../../src/files/wav.ts';

export const root = join(dirname(fileURLToPath(import.meta.url)), '..', '..');

/** `npm test` has built the program already. */
let main: string | undefined = process.env.LEVEL_BEST_CLI;

/** Path of the built program. By themselves these test files build one each, so that none meets another's half-written one. */
export function builtMain(): string {
  if (main) return main;
  const cache = join(root, '.cache');
  mkdirSync(cache, { recursive: true });
  const outDir = mkdtempSync(join(cache, 'cli-test-'));
  const vite = join(root, 'node_modules/vite/bin/vite.js');
  const args = [vite, 'build', '--ssr', 'src/cli/main.ts', '--outDir', outDir, '--logLevel', 'error'];
  const { status, stderr } = spawnSync(process.execPath, args, { cwd: root, encoding: 'utf8' });
  if (status !== 0) throw new Error(`The command line did not build: ${stderr}`);
  process.once('exit', () => spawnSync('rm', ['-rf', outDir]));
  main = join(outDir, 'main.js');
  return main;
}

export interface CliResult {
  readonly status: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

/** In a process of its own, as users start it: where starting and ending is what is tested. */
export function cliAlone(args: readonly string[], cwd: string = root): CliResult {
  const { status, stdout, stderr } = spawnSync(process.execPath, [builtMain(), ...args], {
    cwd,
    encoding: 'utf8',
  });
  return { status, stdout, stderr };
}

let line: { bell: Int32Array; port: MessagePort } | undefined;

function opened() {
  const { port1: port, port2 } = new MessageChannel();
  const bell = new Int32Array(new SharedArrayBuffer(4));
  const thread = new Worker(new URL('cli-thread.mjs', import.meta.url), {
    workerData: { port: port2, bell },
    transferList: [port2],
  });
  thread.unref();
  port.unref();
  return { bell, port };
}

/** In a process that has run others before: much quicker. Every run loads the program afresh. */
export function cli(args: readonly string[], cwd: string = root): CliResult {
  line ??= opened();
  const { bell, port } = line;
  Atomics.store(bell, 0, 0);
  port.postMessage({ program: builtMain(), args, cwd });
  Atomics.wait(bell, 0, 0);
  return receiveMessageOnPort(port)?.message as CliResult;
}

/** What a command prints as JSON; throws with its words if it failed. */
export function cliJson<T>(args: readonly string[], cwd?: string): T {
  const { status, stdout, stderr } = cli([...args, '--json'], cwd);
  if (status !== 0) throw new Error(`${args.join(' ')} ended with ${status}: ${stderr}`);
  return JSON.parse(stdout) as T;
}

/** A folder of its own for one test, below the system's temporary folder. */
export function newFolder(): string {
  return mkdtempSync(join(tmpdir(), 'level-best-cli-'));
}

export function saveWav(path: string, audio: AudioData, options: WavOptions = { bits: 24 }): string {
  writeFileSync(path, writeWav(audio, options));
  return path;
}

export function loadWav(path: string): AudioData {
  return readWav(readFileSync(path));
}

/** Names in a folder, hidden ones too. */
export function namesIn(folder: string): string[] {
  return readdirSync(folder).sort();
}

export function tone(seconds: number, dbfs: number, frequency = 997, sampleRate = 48000): Float32Array {
  return Float32Array.from(sine(Math.round(seconds * sampleRate), sampleRate, frequency, dbToGain(dbfs)));
}
