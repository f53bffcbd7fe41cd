/**
 * A process that runs the built program again and again, as often as it is told to: loading Node and the packages anew
 * for every sentence takes ten times as long as running the program. Each run loads the program's own modules afresh.
 */
import fs from 'node:fs';
import { syncBuiltinESMExports } from 'node:module';
import { pathToFileURL } from 'node:url';

const { writeSync } = fs;
let written = { 1: '', 2: '' };
let runs = 0;

// The program writes by file descriptor, so that nothing is lost when a process ends.
fs.writeSync = (descriptor, data, ...rest) => {
  if (descriptor !== 1 && descriptor !== 2) return writeSync(descriptor, data, ...rest);
  const bytes = Buffer.from(data).subarray(typeof rest[0] === 'number' ? rest[0] : 0);
  written[descriptor] += bytes.toString('utf8');
  return bytes.length;
};
syncBuiltinESMExports();

process.on('message', async ({ program, args, cwd }) => {
  written = { 1: '', 2: '' };
  process.exitCode = undefined;
  process.argv = [process.execPath, program, ...args];
  process.chdir(cwd);
  try {
    await import(`${pathToFileURL(program).href}?run=${++runs}`);
  } catch (error) {
    // As Node does with what nobody catches.
    written[2] += String(error instanceof Error ? error.stack : error);
    process.exitCode = 1;
  }
  process.send({ status: process.exitCode ?? 0, stdout: written[1], stderr: written[2] });
});
