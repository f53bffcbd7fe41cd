/** A trial, a plan or a record that can't be used; the message is a sentence for the user. */
export class ListeningError extends Error {
  override readonly name = 'ListeningError';
}
