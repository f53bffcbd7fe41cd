/**
 * Runs a TypeScript file in Node: node scripts/run-ts.mjs file.ts [arguments]
 *
 * It is bundled by esbuild into node_modules/.cache, so that its packages are found from there, and imported; the bundle
 * is removed again. The script's arguments are in process.argv from index 2 on, paths are those of the shell, and every
 * module finds what lies beside its own source.
 */
import { mkdirSync, readFileSync, rmSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { build } from 'esbuild';

const [entry, ...rest] = process.argv.slice(2);
if (!entry) {
  console.error('Say which file to run: node scripts/run-ts.mjs file.ts [arguments]');
  process.exit(2);
}
const cache = join(dirname(fileURLToPath(import.meta.url)), '..', 'node_modules', '.cache', 'run-ts');
mkdirSync(cache, { recursive: true });
/** `import.meta.url` of our own modules is where their source is, not the bundle. */
const ownAddress = {
  name: 'own-address',
  setup({ onLoad }) {
    onLoad({ filter: /\.ts$/ }, ({ path }) => {
      const address = JSON.stringify(pathToFileURL(path).href);
      return { contents: readFileSync(path, 'utf8').replaceAll('import.meta.url', address), loader: 'ts' };
    });
  },
};
const outfile = join(cache, `${basename(entry, '.ts')}-${process.pid}.mjs`);
await build({
  entryPoints: [entry],
  outfile,
  bundle: true,
  format: 'esm',
  platform: 'node',
  target: 'node20',
  packages: 'external',
  sourcemap: 'inline',
  logLevel: 'warning',
  plugins: [ownAddress],
});
process.argv = [process.argv[0], entry, ...rest];
try {
  await import(pathToFileURL(outfile).href);
} finally {
  rmSync(outfile, { force: true });
}
