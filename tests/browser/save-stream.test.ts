/** Saving a stream through a file picker, into the browser's own file system in place of the disk. */
import { expect } from '@open-wc/testing';

interface Picker {
  showOpenFilePicker?: unknown;
  showSaveFilePicker?: (options: { suggestedName: string }) => Promise<unknown>;
}
const picker = window as unknown as Picker;
const TARGET = { fileName: 'sextet export.zip', type: 'application/zip', extension: '.zip' };

/** The library looks for pickers once, when it is loaded. */
async function load() {
  picker.showOpenFilePicker ??= () => undefined;
  return import('../../src/workbench/take-home/save-stream.ts');
}

const root = () => navigator.storage.getDirectory();
const chosen = async () => (await root()).getFileHandle(TARGET.fileName, { create: true });

async function sizeOfFile(): Promise<number | null> {
  try {
    return (await (await (await root()).getFileHandle(TARGET.fileName)).getFile()).size;
  } catch {
    return null;
  }
}

/** Four bytes, then the fault if there is one. */
function stream(fault?: Error, onCancel?: (reason: unknown) => void) {
  let asked = 0;
  return new ReadableStream<Uint8Array>({
    pull(controller) {
      asked++;
      if (asked === 1) controller.enqueue(new Uint8Array([1, 2, 3, 4]));
      else if (fault) controller.error(fault);
      else controller.close();
    },
    cancel: onCancel,
  });
}

async function faultOf(run: Promise<void>): Promise<unknown> {
  try {
    await run;
    return null;
  } catch (fault) {
    return fault;
  }
}

describe('saving a stream', () => {
  afterEach(async () => {
    await (await root()).removeEntry(TARGET.fileName).catch(() => undefined);
    picker.showSaveFilePicker = undefined;
  });

  it('writes it where its user chose, and makes nothing before that', async () => {
    const { saveStream } = await load();
    let made = 0;
    picker.showSaveFilePicker = async ({ suggestedName }) => {
      expect([suggestedName, made]).to.deep.equal([TARGET.fileName, 0]);
      await new Promise((resolve) => setTimeout(resolve, 20));
      expect(made).to.equal(0);
      return chosen();
    };
    await saveStream(() => {
      made++;
      return stream();
    }, TARGET);
    expect([made, await sizeOfFile()]).to.deep.equal([1, 4]);
  });

  it('makes nothing where the picker is closed', async () => {
    const { NothingChosen, saveStream } = await load();
    picker.showSaveFilePicker = () => Promise.reject(new DOMException('Closed', 'AbortError'));
    let made = 0;
    const fault = await faultOf(
      saveStream(() => {
        made++;
        return stream();
      }, TARGET),
    );
    expect(fault).to.be.instanceOf(NothingChosen);
    expect([made, await sizeOfFile()]).to.deep.equal([0, null]);
  });

  // Browsers that have a picker can remove what it chose; the others never come here.
  const whereRemovable: (name: string, test: () => Promise<void>) => void =
    'remove' in FileSystemFileHandle.prototype ? it : () => undefined;

  whereRemovable('leaves no file behind when the bytes stop coming, and throws their fault', async () => {
    const { saveStream } = await load();
    picker.showSaveFilePicker = chosen;
    const cancelled = new DOMException('The user cancelled it', 'AbortError');
    expect(await faultOf(saveStream(() => stream(cancelled as unknown as Error), TARGET))).to.equal(cancelled);
    expect(await sizeOfFile()).to.equal(null);
  });

  whereRemovable('leaves no file behind when the disk is full, and ends the bytes', async () => {
    const { saveStream } = await load();
    const full = new DOMException('No space', 'QuotaExceededError');
    picker.showSaveFilePicker = async () => {
      const handle = await chosen();
      return {
        getFile: () => handle.getFile(),
        remove: () => (handle as unknown as { remove(): Promise<void> }).remove(),
        createWritable: async () => new WritableStream({ write: () => Promise.reject(full) }),
      };
    };
    const ends: unknown[] = [];
    const endless = () =>
      new ReadableStream<Uint8Array>({
        pull: (controller) => controller.enqueue(new Uint8Array(10)),
        cancel: (reason) => void ends.push(reason),
      });
    expect(await faultOf(saveStream(endless, TARGET))).to.equal(full);
    expect(ends).to.deep.equal([full]);
    expect(await sizeOfFile()).to.equal(null);
  });
});
