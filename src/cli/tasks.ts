/** Work on one file that can be done beside that on others. Plain data in and out, so that it can go to another thread. */
import { CliError, UsageError } from './cli-error.ts';
import { measureFile } from './file-figures.ts';
import type { FileRender } from './render-file.ts';
import { renderFile } from './render-file.ts';

export type FileTask =
  | { readonly kind: 'measure'; readonly path: string }
  | { readonly kind: 'render'; readonly render: FileRender };

/** What came of it. A fault that the user can mend keeps its words; any other keeps its trace. */
export type FileTaskResult =
  | { readonly ok: true; readonly value: unknown }
  | { readonly ok: false; readonly fault: 'usage' | 'given' | 'memory' | 'own'; readonly text: string };

export async function runTask(task: FileTask): Promise<FileTaskResult> {
  try {
    return { ok: true, value: await (task.kind === 'measure' ? measureFile(task.path) : renderFile(task.render)) };
  } catch (error) {
    if (error instanceof CliError) {
      return { ok: false, fault: error instanceof UsageError ? 'usage' : 'given', text: error.message };
    }
    const text = error instanceof Error ? (error.stack ?? error.message) : String(error);
    const isMemory = error instanceof RangeError && /allocation|length/i.test(error.message);
    return { ok: false, fault: isMemory ? 'memory' : 'own', text };
  }
}

/** The value, or the fault as the error that it was. */
export function outcome(result: FileTaskResult): unknown {
  if (result.ok) return result.value;
  if (result.fault === 'usage') throw new UsageError(result.text);
  if (result.fault === 'given') throw new CliError(result.text);
  if (result.fault === 'memory') throw new RangeError('Array buffer allocation failed');
  const error = new Error('A thread stopped at a fault of its own.');
  error.stack = result.text;
  throw error;
}
