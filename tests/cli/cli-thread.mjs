/** Stands between a test that waits and the process it waits for: runs what it is told, and wakes the test. */
import { fork } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { workerData } from 'node:worker_threads';

const { port, bell } = workerData;
let child = null;
let waiting = false;

function answer(result) {
  if (!waiting) return;
  waiting = false;
  port.postMessage(result);
  Atomics.store(bell, 0, 1);
  Atomics.notify(bell, 0);
}

function started() {
  const one = fork(fileURLToPath(new URL('cli-process.mjs', import.meta.url)), {
    stdio: ['ignore', 'ignore', 'pipe', 'ipc'],
  });
  let words = '';
  one.stderr.on('data', (data) => {
    words += data;
  });
  one.on('message', answer);
  one.on('exit', (status) => {
    if (child === one) child = null;
    answer({ status, stdout: '', stderr: words || 'The process ended by itself.' });
  });
  return one;
}

port.on('message', (order) => {
  child ??= started();
  waiting = true;
  child.send(order);
});
