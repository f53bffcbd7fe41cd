/** Many files side by side, on as many threads as there are cores. */
import { availableParallelism } from 'node:os';
import { parentPort, Worker } from 'node:worker_threads';
import { Progress } from './progress.ts';
import type { FileTask, FileTaskResult } from './tasks.ts';
import { outcome, runTask } from './tasks.ts';

let program: string | undefined;

/** Says where the program itself is: each thread loads it again. */
export function setProgram(url: string): void {
  program = url;
}

/**
 * The tasks' values in their order. A single task, or a single core, needs no threads.
 * @throws what the first task in the order that failed threw, once all have ended
 */
export async function runTasks(tasks: readonly FileTask[], label: string): Promise<unknown[]> {
  const threads = Math.min(availableParallelism(), tasks.length);
  const results: FileTaskResult[] = new Array(tasks.length);
  const progress = new Progress();
  let next = 0;
  let done = 0;
  const serve = async (work: (task: FileTask) => Promise<FileTaskResult>) => {
    while (next < tasks.length) {
      const index = next++;
      results[index] = await work(tasks[index]);
      if (tasks.length > 1) progress.show(label, ++done / tasks.length);
    }
  };
  try {
    if (threads <= 1 || program === undefined) await serve(runTask);
    else {
      const url = new URL(program);
      await Promise.all(Array.from({ length: threads }, () => onThread(url, serve)));
    }
  } finally {
    progress.end();
  }
  return results.map(outcome);
}

async function onThread(
  url: URL,
  serve: (work: (task: FileTask) => Promise<FileTaskResult>) => Promise<void>,
): Promise<void> {
  const worker = new Worker(url);
  try {
    await serve(
      (task) =>
        new Promise((resolve, reject) => {
          const ended = (code: number) => reject(new Error(`A thread ended by itself with ${code}.`));
          worker.once('error', reject);
          worker.once('exit', ended);
          worker.once('message', (result: FileTaskResult) => {
            worker.off('error', reject);
            worker.off('exit', ended);
            resolve(result);
          });
          worker.postMessage(task);
        }),
    );
  } finally {
    await worker.terminate();
  }
}

/** What such a thread does: one task after the other, until it is ended. */
export function serveTasks(): void {
  const port = parentPort;
  port?.on('message', (task: FileTask) => {
    void runTask(task).then((result) => port.postMessage(result));
  });
}
