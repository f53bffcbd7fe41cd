import { execFileSync } from 'node:child_process';
import { chmodSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';

/** An ffmpeg that runs: on the path, else the packaged binary (whose install script npm may have skipped). */
export const ffmpeg = findFfmpeg();

function runs(command: string): boolean {
  try {
    execFileSync(command, ['-version'], { stdio: 'ignore' });
    return true;
  } catch {
    return false;
  }
}

function findFfmpeg(): string | undefined {
  if (runs('ffmpeg')) return 'ffmpeg';
  try {
    const require = createRequire(import.meta.url);
    const packaged = join(dirname(require.resolve('@ffmpeg-installer/linux-x64/package.json')), 'ffmpeg');
    if (!existsSync(packaged)) return undefined;
    chmodSync(packaged, 0o755);
    return runs(packaged) ? packaged : undefined;
  } catch {
    return undefined;
  }
}

/** Runs ffmpeg in a folder of its own: `inputs` are written there first, and the bytes of `output` are returned. */
export function runFfmpeg(inputs: Record<string, Uint8Array>, args: string[], output: string): Uint8Array {
  const folder = mkdtempSync(join(tmpdir(), 'level-best-'));
  try {
    for (const [name, bytes] of Object.entries(inputs)) writeFileSync(join(folder, name), bytes);
    execFileSync(ffmpeg ?? 'ffmpeg', ['-hide_banner', '-loglevel', 'error', '-y', ...args, output], { cwd: folder });
    return new Uint8Array(readFileSync(join(folder, output)));
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** What ffmpeg decodes from a file, as 32-bit floats: interleaved. */
export function decoded(name: string, bytes: Uint8Array): Float32Array {
  const raw = runFfmpeg({ [name]: bytes }, ['-i', name, '-f', 'f32le', '-c:a', 'pcm_f32le'], 'out.raw');
  return new Float32Array(raw.slice().buffer);
}
