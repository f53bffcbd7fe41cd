// Compiles worklets/kernels (AssemblyScript) to WebAssembly SIMD and writes it as a base64 module, so that every host
// (page, worker, Node, tests) loads the same bytes the same way, without a fetch.
import { existsSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import asc from 'assemblyscript/asc';
import { withConstantsInMemory } from './kernel-constants.mjs';

const source = 'worklets/kernels';
const target = 'src/engine/kernels.generated.ts';
const inputs = [
  ...readdirSync(source)
    .filter((f) => f.endsWith('.ts'))
    .map((f) => `${source}/${f}`),
  'scripts/build-kernels.mjs',
  'scripts/kernel-constants.mjs',
];
const fresh = existsSync(target) && inputs.every((f) => statSync(f).mtimeMs < statSync(target).mtimeMs);
if (!fresh) {
  const names = readdirSync(source).filter((f) => f.endsWith('.ts'));
  const texts = withConstantsInMemory(
    Object.fromEntries(names.map((f) => [f, readFileSync(`${source}/${f}`, 'utf8')])),
  );
  let bytes = new Uint8Array();
  const options = [
    'index.ts',
    '--outFile',
    'kernels.wasm',
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
  ];
  const { error, stderr } = await asc.main(options, {
    readFile: (name) => texts[name] ?? null,
    writeFile: (_name, contents) => {
      bytes = contents;
    },
    listFiles: () => [],
  });
  if (error) {
    console.error(stderr.toString());
    console.error('The kernels did not compile. Mend the lines above and run `npm run kernels` again.');
    process.exit(1);
  }
  writeFileSync(
    target,
    `/** Made by scripts/build-kernels.mjs from worklets/kernels; not to be edited. */\nexport const kernelsBase64 =\n  '${Buffer.from(bytes).toString('base64')}';\n`,
  );
  console.log(`kernels: ${(bytes.length / 1024).toFixed(1)} kB of WebAssembly`);
}
