/**
 * node scripts/run-ts.mjs tests/benchmarks/render-hashes.ts keep     before a redesign: keeps the renders of now
 * node scripts/run-ts.mjs tests/benchmarks/render-hashes.ts          after it: which differ, and by how much
 *
 * The renders stay in .cache/renders on this machine. A difference is given as the largest sample's, dBFS.
 */
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { gainToDb } from '../../src/dsp/units.ts';
import { renders } from './renders.ts';

const folder = process.env.RENDERS ?? join('.cache', 'renders');
const isKept = process.argv[2] === 'keep';
mkdirSync(folder, { recursive: true });
const all = createHash('sha256');
let count = 0;
let different = 0;
for await (const [name, parts] of renders()) {
  const bytes = Buffer.concat(parts.map((part) => Buffer.from(part.buffer, part.byteOffset, part.byteLength)));
  all.update(name).update(bytes);
  count++;
  const isSound = parts[0] instanceof Float32Array;
  const path = join(folder, `${name.replace(/[^\w.-]+/g, '_')}.${isSound ? 'f32' : 'bin'}`);
  if (isKept) writeFileSync(path, bytes);
  else if (!existsSync(path)) console.log(`new        ${name}`);
  else {
    const before = readFileSync(path);
    if (before.equals(bytes)) continue;
    different++;
    console.log(
      `different  ${name}: ${isSound ? difference(before, bytes) : `${before.length} bytes, now ${bytes.length}`}`,
    );
  }
}
console.log(`${count} renders, ${isKept ? 'kept' : `${different} different`}; ${all.digest('hex').slice(0, 16)}`);
process.exitCode = different > 0 ? 1 : 0;

function difference(before: Buffer, after: Buffer): string {
  if (before.length !== after.length) return `${before.length} bytes, now ${after.length}`;
  const floats = (bytes: Buffer) =>
    new Float32Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length));
  const [x, y] = [floats(before), floats(after)];
  let most = 0;
  for (let i = 0; i < x.length; i++) most = Math.max(most, Math.abs(x[i] - y[i]));
  return `at most ${gainToDb(most).toFixed(1)} dBFS`;
}
