import { AudioFileError } from '../../files/audio-file-error.ts';

const NO_MEMORY =
  'There is not enough memory for this. Close other tabs and programs, or cut the session into shorter parts, and try again.';

/** A fault as a sentence for the user that says what to do. */
export function faultText(fault: unknown): string {
  if (fault instanceof AudioFileError) return fault.message;
  // Hosts word a refused allocation differently, but all throw a RangeError that names it.
  if (fault instanceof RangeError && /alloc|memory|length|size/i.test(fault.message)) return NO_MEMORY;
  const what = fault instanceof Error ? fault.message : String(fault);
  return `It stopped at a fault of its own (${what.replace(/\.$/, '')}). Your session is unchanged; reload the page and try again.`;
}
