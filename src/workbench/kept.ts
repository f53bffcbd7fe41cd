import { VERSION } from '../session/document.ts';
import type { AsideDocument } from '../session/storage.ts';
import type { Notices } from './notices.ts';
import { Notifier } from './observable.ts';
import type { Saving } from './saving.ts';
import { sentence } from './sentence.ts';
import type { SessionFiles } from './session-files.ts';

/** A session in the browser's store that this tool can't read. */
export interface KeptSession {
  readonly key: string;
  readonly name: string;
  /** `newer`: sound, but saved by a newer Level Best. */
  readonly reason: 'newer' | 'damaged';
  /** The day it was set aside, YYYY-MM-DD. */
  readonly day: string;
}

/** Sessions that were set aside because they can't be read: they can be saved as files, and given up. */
export class Kept extends Notifier {
  private asides: readonly AsideDocument[] = [];

  constructor(
    private readonly saving: Saving,
    private readonly files: SessionFiles,
    private readonly notices: Notices,
  ) {
    super();
  }

  get sessions(): readonly KeptSession[] {
    return this.asides.map(({ key, document }) => {
      const { name, version } = (document ?? {}) as { name?: unknown; version?: unknown };
      return {
        key,
        name: typeof name === 'string' && name !== '' ? name : 'A session without a name',
        reason: Number(version) > VERSION ? 'newer' : 'damaged',
        day: /\d{4}-\d{2}-\d{2}/.exec(key)?.[0] ?? '',
      };
    });
  }

  /** Looks what there is, and says so. */
  async look(): Promise<void> {
    try {
      this.asides = await this.saving.asides();
    } catch (fault) {
      this.notices.say('warning', sentence(fault));
    }
    if (this.asides.length === 0) return;
    const many = this.asides.length > 1;
    this.notices.say(
      'info',
      `This browser keeps ${many ? `${this.asides.length} sessions` : 'a session'} that this Level Best can't read. Under “Save, open, notes” ${many ? 'they' : 'it'} can be saved as ${many ? 'files' : 'a file'} or given up.`,
    );
    this.notify();
  }

  /** As a file, with its sound, for a Level Best that can read it. */
  async save(key: string): Promise<void> {
    const aside = this.asides.find((one) => one.key === key);
    const session = this.sessions.find((one) => one.key === key);
    if (aside && session) await this.files.saveUnread(session.name, aside.document);
  }

  async forget(key: string): Promise<void> {
    try {
      await this.saving.forgetAside(key);
      this.asides = this.asides.filter((one) => one.key !== key);
    } catch (fault) {
      this.notices.say('warning', sentence(fault));
    }
    this.notify();
  }
}
