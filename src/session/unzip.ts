import type { UnzipFileInfo } from 'fflate';
import { unzipSync } from 'fflate';
import { SessionError } from './session-error.ts';

/** More entries than a session of the most channels can have. */
const MOST_ENTRIES = 1000;
/** Some 32 channels of ten minutes in stereo at 24 bit and 48 kHz. */
const MOST_BYTES = 6e9;
/** Sound packs to a half, silence to a thousandth; what swells this much over the whole file is no session. */
const MOST_SWELLING = 100;
const ALWAYS_ALLOWED = 300e6;

/** An entry of a ZIP that is taken out when it is asked for. */
export interface ZipEntry {
  readonly name: string;
  /** Unpacked, as the ZIP says; more never comes out. */
  readonly size: number;
  /** @throws Error where the entry is damaged */
  read(): Uint8Array<ArrayBuffer>;
}

/**
 * The entries of a ZIP by its directory at the end, never by looking for marks between the files: sound may contain
 * anything, such marks included. What a ZIP would swell to is known from there before anything is unpacked.
 * @throws SessionError for a ZIP without a directory, and for one that would unpack to more than a session can hold
 */
export function zipEntries(bytes: Uint8Array): ZipEntry[] {
  const found: UnzipFileInfo[] = [];
  try {
    unzipSync(bytes, {
      filter: (file) => {
        if (found.push(file) > MOST_ENTRIES) throw tooLarge;
        return false;
      },
    });
  } catch (fault) {
    if (fault === tooLarge) throw fault;
    throw new SessionError('The ZIP is damaged or was cut short. Open another copy of the session.');
  }
  const entries = found.filter(({ name }) => !name.endsWith('/'));
  const total = entries.reduce((sum, { size, originalSize }) => sum + Math.max(size, originalSize), 0);
  if (total > Math.min(MOST_BYTES, ALWAYS_ALLOWED + MOST_SWELLING * bytes.length)) throw tooLarge;
  return entries.map(({ name, size, originalSize, compression }) => ({
    name,
    size: compression === 0 ? size : originalSize,
    read: () => {
      const content = unzipSync(bytes, { filter: (file) => file.name === name })[name];
      if (content?.length !== originalSize) throw new Error(`${name} is cut short.`);
      return content as Uint8Array<ArrayBuffer>;
    },
  }));
}

const tooLarge = new SessionError('The ZIP would unpack to more than a session can hold, so it is not opened.');
