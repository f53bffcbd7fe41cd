/** Which session a tab has, for its own reload. A tab that is duplicated takes this along, so the lock decides. */
export interface TabSession {
  readonly id: string;
  /** What to show where nothing of it was stored: it was not worked on. */
  readonly start: 'empty' | 'demo';
}

const KEY = 'level-best-session';

export function rememberTabSession(session: TabSession): void {
  try {
    sessionStorage.setItem(KEY, JSON.stringify(session));
  } catch {
    // A reload then shows what was worked on last.
  }
}

/** Null in a tab that is new. */
export function tabSession(): TabSession | null {
  try {
    const { id, start } = JSON.parse(sessionStorage.getItem(KEY) ?? 'null') ?? {};
    return typeof id === 'string' ? { id, start: start === 'demo' ? 'demo' : 'empty' } : null;
  } catch {
    return null;
  }
}
