// Compiles worklets/kernels (AssemblyScript) to WebAssembly SIMD and writes it as a base64 module, so that every host
// (page, worker, Node, tests) loads the same bytes the same way, without a fetch.
import { existsSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import asc from 'assemblyscript/asc';
import { dispatchSource, readKernels, tableSource } from './kernel-table.mjs';

const source = 'worklets/kernels';
const target = 'src/engine/kernels.generated.ts';
const table = 'src/engine/kernel-table.generated.ts';
const dispatch = `${source}/dispatch.generated.ts`;
const scripts = ['scripts/build-kernels.mjs', 'scripts/kernel-table.mjs'];

function orExplain(make) {
  try {
    return make();
  } catch (error) {
    console.error(`${error.message}\nRun \`npm run kernels\` again then.`);
    process.exit(1);
  }
}

const kernels = orExplain(readKernels);
writeIfNew(dispatch, dispatchSource(kernels));
writeIfNew(table, tableSource(kernels));
const inputs = [...sourcesIn(source), ...sourcesIn(`${source}/stages`), ...scripts];

/** A file that stays as it is keeps its time, so that nothing is compiled anew for it. */
function writeIfNew(path, text) {
  if (!existsSync(path) || readFileSync(path, 'utf8') !== text) writeFileSync(path, text);
}

function sourcesIn(folder) {
  return readdirSync(folder)
    .filter((file) => file.endsWith('.ts'))
    .map((file) => `${folder}/${file}`);
}

const fresh = existsSync(target) && inputs.every((f) => statSync(f).mtimeMs < statSync(target).mtimeMs);
if (!fresh) {
  mkdirSync(`${source}/build`, { recursive: true });
  const { error, stderr } = await asc.main([
    `${source}/index.ts`,
    '--outFile',
    `${source}/build/kernels.wasm`,
    '--optimizeLevel',
    '3',
    '--shrinkLevel',
    '0',
    '--converge',
    '--noAssert',
    '--runtime',
    'stub',
    '--enable',
    'simd',
    '--enable',
    'bulk-memory',
    '--initialMemory',
    '64',
    '--exportStart',
    'start',
  ]);
  if (error) {
    console.error(stderr.toString());
    console.error('The kernels did not compile. Mend the lines above and run `npm run kernels` again.');
    process.exit(1);
  }
  const bytes = readFileSync(`${source}/build/kernels.wasm`);
  writeFileSync(
    target,
    `/** Made by scripts/build-kernels.mjs from worklets/kernels; not to be edited. */\nexport const kernelsBase64 =\n  '${bytes.toString('base64')}';\n`,
  );
  console.log(`kernels: ${(bytes.length / 1024).toFixed(1)} kB of WebAssembly`);
}
