/** A session that can't be used; the message is a sentence for the user. */
export class SessionError extends Error {
  override readonly name = 'SessionError';

  constructor(
    message: string,
    /** `newer`: sound, but of a version that this tool doesn't know yet. */
    readonly reason: 'damaged' | 'newer' | 'foreign' = 'damaged',
  ) {
    super(message);
  }
}
