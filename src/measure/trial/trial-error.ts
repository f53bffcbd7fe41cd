/** Why a blind trial can't be made of these sounds; the message is a sentence that says what to do. */
export class TrialError extends Error {
  override readonly name = 'TrialError';
}
