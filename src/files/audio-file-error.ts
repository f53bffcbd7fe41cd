/**
 * A file that can't be read or written. The message is one sentence that says what to do, without the file's name:
 * whoever knows the name puts it in front.
 */
export class AudioFileError extends Error {
  override readonly name = 'AudioFileError';
}
