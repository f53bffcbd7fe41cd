/** Makes the demo session's audio again: npm run demo. The same seed gives the same files. */
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { writeFlac } from '../src/files/flac.ts';
import { PARTS, renderPart } from './demo.ts';
import { loudPassages, samplePeak } from './levels.ts';

const folder = join(process.cwd(), 'samples', 'audio');
mkdirSync(folder, { recursive: true });
const only = process.argv.slice(2);
let total = 0;
for (const part of PARTS) {
  if (only.length > 0 && !only.includes(part.name)) continue;
  const begin = performance.now();
  const audio = renderPart(part);
  const bytes = await writeFlac(audio, { bits: 24, level: 8 });
  writeFileSync(join(folder, `${part.name}.flac`), bytes);
  total += bytes.length;
  const channels = audio.channels.map((channel) => Float64Array.from(channel));
  console.log(
    `${part.name.padEnd(14)} ${channels.length} ch  ${(bytes.length / 1e6).toFixed(2)} MB` +
      `  loud ${loudPassages(channels).toFixed(1)} dBFS  peak ${samplePeak(channels).toFixed(1)} dBFS` +
      `  ${((performance.now() - begin) / 1000).toFixed(1)} s`,
  );
}
console.log(`${(total / 1e6).toFixed(2)} MB in all`);
