/**
 * File and folder pickers that a test can answer: they choose places in the page's own file system, whose files are
 * written by the same calls as those on disk.
 */
import type { Page } from 'playwright-core';

/** The page gets pickers that choose "folder", or a file in "files", and is loaded anew. */
export async function withPickers(page: Page): Promise<void> {
  await page.context().addInitScript(() => {
    const place = async (name: string) =>
      (await navigator.storage.getDirectory()).getDirectoryHandle(name, { create: true });
    Object.assign(window, {
      showOpenFilePicker: () => Promise.reject(new DOMException('Closed', 'AbortError')),
      showSaveFilePicker: async ({ suggestedName }: { suggestedName: string }) =>
        (await place('files')).getFileHandle(suggestedName, { create: true }),
      showDirectoryPicker: () => place('folder'),
    });
  });
  await page.reload();
}

/** Every file below a place, by its path there, with its size; what is written aside doesn't count. */
export function filesIn(page: Page, place: 'folder' | 'files'): Promise<Record<string, number>> {
  return page.evaluate(async (name) => {
    const found: Record<string, number> = {};
    const walk = async (folder: FileSystemDirectoryHandle, path: string): Promise<void> => {
      const entries = (folder as unknown as { entries(): AsyncIterable<[string, FileSystemHandle]> }).entries();
      for await (const [own, handle] of entries) {
        if (handle.kind === 'directory') {
          found[`${path}${own}/`] = 0;
          await walk(handle as FileSystemDirectoryHandle, `${path}${own}/`);
        } else found[`${path}${own}`] = (await (handle as FileSystemFileHandle).getFile()).size;
      }
    };
    const root = await navigator.storage.getDirectory();
    await walk(await root.getDirectoryHandle(name, { create: true }), '');
    return found;
  }, place);
}

/** A file's bytes by its path. */
export async function bytesOf(page: Page, place: 'folder' | 'files', path: string): Promise<Uint8Array<ArrayBuffer>> {
  const text = await page.evaluate(
    async ([start, names]) => {
      let folder = await (await navigator.storage.getDirectory()).getDirectoryHandle(start as string);
      const parts = (names as string).split('/');
      for (const part of parts.slice(0, -1)) folder = await folder.getDirectoryHandle(part);
      const file = await (await folder.getFileHandle(parts[parts.length - 1])).getFile();
      const bytes = new Uint8Array(await file.arrayBuffer());
      let binary = '';
      for (let i = 0; i < bytes.length; i += 32768) binary += String.fromCharCode(...bytes.subarray(i, i + 32768));
      return btoa(binary);
    },
    [place, path],
  );
  return new Uint8Array(Buffer.from(text, 'base64'));
}

/** Empties a place. */
export async function clear(page: Page, place: 'folder' | 'files'): Promise<void> {
  await page.evaluate(async (name) => {
    const root = await navigator.storage.getDirectory();
    await root.removeEntry(name, { recursive: true }).catch(() => undefined);
  }, place);
}
