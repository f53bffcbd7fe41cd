import type { Planes } from '../render/rack-renderer.ts';
import type { SessionDocument } from '../session/document.ts';
import { emptySession, SessionError } from '../session/document.ts';
import type { Steps } from '../session/history.ts';
import type { SessionEntry } from '../session/store/storage.ts';
import { isUnreadable } from '../session/store/storage.ts';
import { demo, demoSession } from './demo.ts';
import type { Notices } from './notices.ts';
import { sentence } from './notices.ts';
import type { Saving } from './saving.ts';
import type { SessionFiles } from './session-files.ts';
import type { Sounds } from './sounds.ts';
import type { TabSession } from './tab-session.ts';
import { tabSession } from './tab-session.ts';

/** A session that is ready to be worked on: its document, its sound by SHA-256, and its steps of undo. */
export interface OpenedSession {
  readonly document: SessionDocument;
  readonly known: ReadonlyMap<string, Planes>;
  readonly steps?: Steps;
}

/** Where sessions are opened. */
export interface OpeningHost {
  readonly document: SessionDocument;
  readonly player: { setLoading(): void };
  /** Another session takes this one's place; when that throws, this one stands as before. */
  replace(opened: OpenedSession): void;
  /** This session is played and measured from its start. */
  reload(): void;
}

/** Opens sessions, one after the other: the last one, the demo, one from a file or from the browser, an empty one. */
export class Opening {
  private now: Promise<unknown> | null = null;

  /** @param taken is told of the session that this tab would show, but for another tab that has it */
  constructor(
    private readonly host: OpeningHost,
    private readonly sounds: Sounds,
    private readonly saving: Saving,
    private readonly files: SessionFiles,
    private readonly notices: Notices,
    private readonly taken: (entry: SessionEntry) => void,
  ) {}

  /** Resolves when the session that is being opened stands. */
  async done(): Promise<void> {
    await this.now?.catch(() => undefined);
  }

  /**
   * What this tab had before its reload; in a new tab what was worked on last, or the demo where there is nothing. One
   * that another tab has is left to it.
   */
  last(): Promise<void> {
    return this.inTurn(async () => {
      this.host.player.setLoading();
      const before = tabSession();
      const entry = await this.lastEntry(before);
      if (!entry) return before?.start === 'empty' ? this.showEmpty() : this.showDemo();
      try {
        if (await this.show(entry.id)) return;
        this.showEmpty();
        this.taken(entry);
      } catch (fault) {
        this.notices.say('warning', sentence(fault));
        await this.showDemo();
      }
    });
  }

  demo(): Promise<void> {
    return this.inTurn(() => this.showDemo());
  }

  /** A session file in place of this session; what can't be opened is named and nothing is lost. */
  file(file: File): Promise<void> {
    return this.inTurn(async () => {
      const opened = await this.files.open(file);
      if (!opened) return;
      this.flush();
      try {
        this.host.replace(opened);
      } catch (fault) {
        this.notices.say('fault', `${file.name}: ${unshown(fault)}`);
        return;
      }
      this.saving.begin('empty');
      this.saving.save();
      this.sayMissing('The session came without');
    });
  }

  /**
   * A session that the browser keeps, in place of this one.
   * @returns false where another tab has it
   * @throws SessionError or StorageError with a sentence for the user; this session stays then
   */
  kept(id: string): Promise<boolean> {
    return this.inTurn(() => this.show(id));
  }

  /** An empty session; not while another one is being opened, which nobody has seen yet. */
  fresh(): void {
    if (this.now) return;
    this.showEmpty();
  }

  private showEmpty(): void {
    this.flush();
    this.host.replace({ document: emptySession(this.host.document.sampleRate), known: new Map() });
    this.saving.begin('empty');
  }

  /** What the session that goes was changed in is stored before another one stands in its place. */
  private flush(): void {
    void this.saving.flush();
  }

  private async show(id: string): Promise<boolean> {
    const taken = await this.saving.take(id);
    if (!taken) return false;
    try {
      const { document, steps } = taken;
      const { known, faults } = await this.sounds.gather(document, ({ sha256 }) => this.saving.loadAudio(sha256));
      this.flush();
      this.host.replace({ document, known, steps });
      for (const fault of faults) this.notices.say('fault', fault);
    } catch (fault) {
      taken.lock.release();
      throw new SessionError(unshown(fault));
    }
    this.saving.use(taken);
    this.sayMissing('The browser no longer has');
    return true;
  }

  /** The session of this tab, or the one that was changed last and can be read; undefined where there is none. */
  private async lastEntry(before: TabSession | null): Promise<SessionEntry | undefined> {
    try {
      await this.saving.open();
      const entries = (await this.saving.store?.list()) ?? [];
      const own = entries.find(({ id }) => id === before?.id);
      return own || before ? own : entries.find((entry) => !isUnreadable(entry));
    } catch (fault) {
      this.notices.say('warning', sentence(fault));
      return undefined;
    }
  }

  private async inTurn<T>(open: () => Promise<T>): Promise<T> {
    const mine: Promise<T> = this.done()
      .then(open)
      .finally(() => {
        if (this.now === mine) this.now = null;
      });
    this.now = mine;
    return mine;
  }

  private async showDemo(): Promise<void> {
    const { host, saving } = this;
    host.player.setLoading();
    try {
      const { document, bytes } = demo();
      const { known, faults } = await this.sounds.gather(document, async ({ sha256 }) => bytes.get(sha256) ?? null);
      if (faults[0] !== undefined) throw new Error(faults[0]);
      this.flush();
      host.replace({ document, known });
      saving.begin('demo');
      for (const [sha256, own] of bytes) await saving.keepAudio(sha256, await own);
    } catch (fault) {
      this.notices.say('fault', sentence(fault));
      // What was here stays.
      host.reload();
    }
  }

  /** What to do about files that are not here. */
  private sayMissing(what: string): void {
    const missing = this.sounds.missing(this.host.document).flatMap(({ audio }) => (audio ? [audio.file] : []));
    if (missing.length === 0) return;
    const names = [...new Set(missing)].join(', ');
    this.notices.say(
      'warning',
      `${what} ${names}. The racks are kept. Add the files again, or choose “Find file…” at a channel.`,
    );
  }
}

function unshown(fault: unknown): string {
  return `The session could not be opened (${sentence(fault)}). What was here stays.`;
}

/** True for a session that nobody has made anything of: empty, or the demo but for gains that are computed. */
export function isUntouched(document: SessionDocument): boolean {
  const empty = emptySession(document.sampleRate);
  return [empty, demoSession()].some((one) => plain(one) === plain(document));
}

function plain(document: SessionDocument): string {
  const computed = new Set(['matchGainDb', 'outputMatchDb']);
  return JSON.stringify(document, (key, value) => (computed.has(key) ? null : value));
}
