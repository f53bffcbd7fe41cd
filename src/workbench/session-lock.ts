/** What keeps a session in one tab: the browser's own lock, which goes with the tab however that ends. */
export interface SessionLock {
  /** False where the browser has no locks: what another tab writes is then only found out when this one writes. */
  readonly isSure: boolean;
  release(): void;
}

const UNSURE: SessionLock = { isSure: false, release: () => undefined };

/** The name of a session's lock. */
const nameOf = (id: string) => `level-best-session ${id}`;

/**
 * The lock of a session; null where another tab holds it.
 * @param patienceMs how long to wait for one that lets go of it just now, as a page that is being reloaded does
 */
export async function lockSession(id: string, patienceMs = 0): Promise<SessionLock | null> {
  const { locks } = navigator;
  if (!locks) return UNSURE;
  const options = patienceMs > 0 ? { signal: AbortSignal.timeout(patienceMs) } : { ifAvailable: true };
  return new Promise((resolve) => {
    locks
      .request(nameOf(id), options, (lock) => {
        if (!lock) return resolve(null);
        return new Promise<void>((release) => resolve({ isSure: true, release }));
      })
      // Refused for good (some embedded pages), or not had in time.
      .catch((fault: unknown) => resolve(isTimeout(fault) ? null : UNSURE));
  });
}

/** Ids of the sessions that some tab has open, this one included; none where the browser has no locks. */
export async function openSessions(): Promise<ReadonlySet<string>> {
  const prefix = nameOf('');
  try {
    const { held = [] } = (await navigator.locks?.query()) ?? {};
    return new Set(held.flatMap(({ name }) => (name?.startsWith(prefix) ? [name.slice(prefix.length)] : [])));
  } catch {
    return new Set();
  }
}

function isTimeout(fault: unknown): boolean {
  return fault instanceof DOMException && (fault.name === 'TimeoutError' || fault.name === 'AbortError');
}
