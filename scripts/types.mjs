// Checks every part of the project against the library it may use: the numeric core sees neither the DOM nor Node.
import { spawnSync } from 'node:child_process';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';

const tsc = join(dirname(createRequire(import.meta.url).resolve('typescript/package.json')), 'bin/tsc');
let failed = 0;
for (const part of ['core', 'worklet', 'browser', 'node', 'e2e']) {
  const project = part === 'browser' ? 'tsconfig.json' : `tsconfig.${part}.json`;
  // What was found of files that haven't changed since is kept.
  const kept = ['--incremental', '--tsBuildInfoFile', `.cache/types/${part}.tsbuildinfo`];
  const { status } = spawnSync(process.execPath, [tsc, '-p', project, ...kept], { stdio: 'inherit' });
  console.log(`types ${part}: ${status === 0 ? 'ok' : 'failed'}`);
  if (status !== 0) failed++;
}
process.exit(failed ? 1 : 0);
