import { VERSION } from '../session/document.ts';
import type { SessionEntry } from '../session/store/storage.ts';
import { isUnreadable } from '../session/store/storage.ts';
import type { KeptSession, KeptStore } from '../stores/kept-store.ts';
import { Notifier } from '../stores/observable.ts';
import type { Notices } from './notices.ts';
import type { Saving } from './saving.ts';
import type { SessionFiles } from './session-files.ts';
import { lockSession, openSessions } from './session-lock.ts';

/** Where a stored session is opened. */
export interface KeptOpener {
  /** @returns false where another tab has it */
  kept(id: string): Promise<boolean>;
}

/** The sessions that the browser keeps: they are listed, opened, duplicated and discarded, each by one tab at a time. */
export class Kept extends Notifier implements KeptStore {
  sessions: readonly KeptSession[] = [];
  taken: KeptSession | null = null;

  constructor(
    private readonly saving: Saving,
    private readonly files: SessionFiles,
    private readonly opener: () => KeptOpener,
    private readonly notices: Notices,
  ) {
    super();
  }

  get isKept(): boolean {
    return this.saving.isKept;
  }

  async look(): Promise<void> {
    await this.notices.attempt(async () => {
      // What was done here a moment ago is in the list, too.
      await this.saving.flush();
      const entries = (await this.saving.store?.list()) ?? [];
      const open = await openSessions();
      this.sessions = entries.map((entry) => ({
        id: entry.id,
        name: entry.name || 'A session without a name',
        changed: entry.changed,
        channels: entry.channels,
        open: entry.id === this.saving.id ? 'here' : open.has(entry.id) ? 'elsewhere' : 'nowhere',
        unreadable: isUnreadable(entry) ? (entry.version > VERSION ? 'newer' : 'damaged') : null,
      }));
    });
    this.notify();
  }

  /** Says once, at the start, that there is something here that can't be read. */
  async sayUnreadable(): Promise<void> {
    await this.look();
    const count = this.sessions.filter(({ unreadable }) => unreadable).length;
    if (count === 0) return;
    const many = count > 1;
    this.notices.say(
      'info',
      `This browser keeps ${many ? `${count} sessions` : 'a session'} that this Level Best can't read. Under “Sessions…” ${many ? 'they' : 'it'} can be saved as ${many ? 'files' : 'a file'} or discarded.`,
    );
  }

  /** This tab would have shown it, but another one has it. */
  tell({ id, name, changed, channels }: SessionEntry): void {
    this.taken = { id, name, changed, channels, open: 'elsewhere', unreadable: null };
    this.notify();
  }

  leaveTaken(): void {
    this.taken = null;
    this.notify();
  }

  async open(id: string): Promise<void> {
    if (id === this.saving.id) return;
    await this.notices.attempt(async () => {
      await this.saving.flush();
      if (!this.saving.isKept) {
        this.notices.say(
          'warning',
          'The browser did not keep what you did last, so this session stays. Save it as a file, start a new one, then open the other.',
        );
        return;
      }
      if (await this.opener().kept(id)) this.taken = null;
      else this.sayTaken(id);
    });
    await this.look();
  }

  async openCopy(id: string): Promise<void> {
    const copy = await this.copy(id);
    if (copy) await this.open(copy);
    else await this.look();
  }

  async duplicate(id: string): Promise<void> {
    await this.copy(id);
    await this.look();
  }

  async discard(id: string): Promise<void> {
    await this.notices.attempt(async () => {
      const lock = id === this.saving.id ? null : await lockSession(id);
      if (!lock) return this.sayTaken(id);
      try {
        await this.saving.store?.discard(id);
      } finally {
        lock.release();
      }
    });
    await this.look();
  }

  async save(id: string): Promise<void> {
    await this.notices.attempt(async () => {
      const unread = await this.saving.store?.unread(id);
      if (unread) await this.files.saveUnread(unread.name || 'session', unread.document);
    });
  }

  /** The id of the copy; null where there is none, which is said. */
  private async copy(id: string): Promise<string | null> {
    const fresh = this.saving.newId();
    return this.notices.attempt(async () => {
      await this.saving.flush();
      const { store } = this.saving;
      const entry = await store?.entry(id);
      if (!store || !entry) return null;
      await store.duplicate(
        id,
        fresh,
        copyName(
          entry.name,
          (await store.list()).map(({ name }) => name),
        ),
      );
      return fresh;
    });
  }

  private sayTaken(id: string): void {
    const name = this.sessions.find((one) => one.id === id)?.name ?? this.taken?.name ?? 'This session';
    this.notices.say('info', `“${name}” is open in another tab. Close it there first, or open a copy.`);
  }
}

/** "Pier, copy", then "Pier, copy 2": a name that no other one has. */
export function copyName(name: string, taken: readonly string[]): string {
  const stem = name.replace(/, copy( \d+)?$/, '').slice(0, 180);
  for (let n = 1; ; n++) {
    const copy = n === 1 ? `${stem}, copy` : `${stem}, copy ${n}`;
    if (!taken.includes(copy)) return copy;
  }
}
