import { fileSave, supported } from 'browser-fs-access';
import type { ReportFormat } from '../../stores/take-home-store.ts';

export interface StreamTarget {
  readonly fileName: string;
  readonly type: string;
  readonly extension: string;
}

/** A handle that the browser may know how to remove. */
type Removable = FileSystemFileHandle & { remove?(): Promise<void> };

/** The user closed the picker: nothing was asked for. */
export class NothingChosen extends Error {}

/**
 * Saves bytes as they are made: straight to disk where the browser has a file picker, else gathered and downloaded.
 * Nothing is made before a place is chosen. On a fault nothing is left of the file.
 * @param bytes called once, when the place is known
 * @throws NothingChosen, and whatever `bytes` or the disk throws
 */
export async function saveStream(
  bytes: () => ReadableStream<Uint8Array>,
  { fileName, type, extension }: StreamTarget,
): Promise<void> {
  let chosen: Removable | null = null;
  let begin = () => {};
  const place = new Promise<void>((resolve) => {
    begin = resolve;
  });
  let reader: ReadableStreamDefaultReader<Uint8Array> | null = null;
  const waiting = new ReadableStream<Uint8Array>(
    {
      async pull(controller) {
        await place;
        reader ??= bytes().getReader();
        const { done, value } = await reader.read();
        if (done) controller.close();
        else controller.enqueue(value);
      },
      cancel: (reason) => reader?.cancel(reason),
    },
    // A piece is a megabyte; one is enough to have at hand.
    { highWaterMark: 1 },
  );
  const response = new Response(waiting, { headers: { 'content-type': type } });
  if (!supported) begin();
  try {
    await fileSave(response, { fileName, extensions: [extension] }, null, false, (handle) => {
      chosen = handle;
      begin();
    });
  } catch (fault) {
    if (supported && !chosen && fault instanceof DOMException && fault.name === 'AbortError') throw new NothingChosen();
    if (chosen) await removeEmpty(chosen);
    throw fault;
  }
}

/**
 * What was written lies aside until all is there, so a write that is given up leaves the chosen file empty: the picker
 * made it, or emptied it when its user chose to replace it.
 */
async function removeEmpty(handle: Removable): Promise<void> {
  try {
    if ((await handle.getFile()).size === 0) await handle.remove?.();
  } catch {
    // It is gone already.
  }
}

export const REPORT_TYPES: Readonly<Record<ReportFormat, string>> = {
  html: 'text/html',
  md: 'text/markdown',
  json: 'application/json',
};

/** A text as bytes, made when they are asked for. */
export function textStream(make: () => Promise<string>): ReadableStream<Uint8Array> {
  return new ReadableStream<Uint8Array>({
    async pull(controller) {
      controller.enqueue(new TextEncoder().encode(await make()));
      controller.close();
    },
  });
}
