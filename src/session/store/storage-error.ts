/** A store that refused; the message is a sentence for the user. */
export class StorageError extends Error {
  override readonly name = 'StorageError';
}

/** Somebody else wrote a session since this window read it. */
export class WrittenElsewhereError extends Error {
  override readonly name = 'WrittenElsewhereError';
}

/** Carries a writing out. @throws StorageError that says what was refused and what to do */
export async function guarded<T>(write: () => Promise<T>): Promise<T> {
  try {
    return await write();
  } catch (fault) {
    if (fault instanceof WrittenElsewhereError) throw fault;
    const full = fault instanceof DOMException && fault.name === 'QuotaExceededError';
    throw new StorageError(
      full
        ? "The browser's storage is full, so the last change is not kept over a reload. Free some space or remove channels."
        : 'The browser did not store the last change. It is still here until the page is closed.',
    );
  }
}
