#!/usr/bin/env node
import { existsSync } from 'node:fs';

const built = new URL('../dist/cli/main.js', import.meta.url);
if (existsSync(built)) {
  await import(built.href);
} else {
  console.error('level-best: The command line has not been built yet; run "npm run build" first.');
  process.exitCode = 1;
}
