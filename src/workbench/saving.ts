import { hashesIn } from '../session/hashes.ts';
import type { SessionWork, SessionWriter } from '../session/store/session-writer.ts';
import { SessionStorage, WrittenElsewhereError } from '../session/store/storage.ts';
import type { Notices } from './notices.ts';
import { sentence } from './notices.ts';
import type { SessionLock } from './session-lock.ts';
import { lockSession } from './session-lock.ts';
import { SoundKeeping } from './sound-keeping.ts';
import type { TabSession } from './tab-session.ts';
import { rememberTabSession } from './tab-session.ts';

const SAVE_DELAY = 150;
/** Held by every window of the tool while it is open. */
const WINDOW_LOCK = 'level-best-window';
/** A page that is reloaded lets go of its session's lock some moments after the new one has begun, ms. */
const PATIENCE = 2000;

/** The session as it stands at any moment, and whether there is anything of the user's in it. */
export interface WorkInHand extends SessionWork {
  readonly isWorthKeeping: boolean;
}

/** A session that was taken from the store for this tab alone, and that is not this tab's until it is used. */
export interface TakenSession extends SessionWork {
  readonly writer: SessionWriter;
  readonly lock: SessionLock;
}

/** The session that this tab works on. */
interface Held {
  readonly id: string;
  /** Null where nothing is kept. */
  readonly writer: SessionWriter | null;
  lock: SessionLock | null;
}

/**
 * Keeps the session of this tab in the browser; what is refused is said, and work goes on without. A session that nobody
 * has made anything of is not kept. Nothing here ever writes another session than the tab's own.
 */
export class Saving extends SoundKeeping {
  private held: Held = { id: '', writer: null, lock: null };
  private timer: ReturnType<typeof setTimeout> | undefined;
  private turn: Promise<void> = Promise.resolve();
  private writing = 0;
  private failed = false;
  /** The page was away, and may have lost its lock. */
  private wasAway = false;

  /** @param current the session to store, asked when it is stored */
  constructor(
    private readonly current: WorkInHand,
    notices: Notices,
  ) {
    super(notices);
  }

  /** @throws StorageError with a sentence for the user; everything else works without the store */
  async open(): Promise<void> {
    this.storage = await SessionStorage.open('level-best', () => this.letGo());
    globalThis.addEventListener?.('pagehide', () => this.handOver());
    globalThis.addEventListener?.('pageshow', ({ persisted }) => {
      this.wasAway ||= persisted;
    });
    globalThis.document?.addEventListener('visibilitychange', () => {
      if (globalThis.document.visibilityState === 'hidden') this.handOver();
    });
  }

  /** The browser's store; null where there is none. */
  get store(): SessionStorage | null {
    return this.storage;
  }

  /** False where this session goes with the page. */
  get isKept(): boolean {
    return this.storage !== null && !this.failed;
  }

  /** Of this tab's session. */
  get id(): string {
    return this.held.id;
  }

  newId(): string {
    return `session-${crypto.randomUUID()}`;
  }

  /** What stands here now is a session of its own, which is stored as soon as something is made of it. */
  begin(start: TabSession['start']): void {
    const id = this.newId();
    this.hold({ id, writer: this.storage?.begin(id) ?? null, lock: null }, start);
  }

  /**
   * A stored session for this tab alone; null where another tab has it.
   * @throws SessionError or StorageError with a sentence for the user
   */
  async take(id: string): Promise<TakenSession | null> {
    if (!this.storage) return null;
    const lock = await lockSession(id, PATIENCE);
    if (!lock) return null;
    try {
      const { notice, ...stored } = await this.storage.load(id, this.newId());
      if (notice) this.notices.say('warning', notice);
      if (stored.writer.id === id) return { ...stored, lock };
      // The last good copy of a damaged one is a session of its own, whose id nobody else knows.
      lock.release();
      return { ...stored, lock: (await lockSession(stored.writer.id)) as SessionLock };
    } catch (fault) {
      lock.release();
      throw fault;
    }
  }

  /** What was taken stands here now. */
  use({ writer, lock }: TakenSession): void {
    this.hold({ id: writer.id, writer, lock }, 'empty');
    // A copy of what was damaged is not stored yet.
    if (!writer.isStored) this.save();
  }

  /** Stores the session soon: at once is too often while something is dragged, later than this would lose work. */
  save(): void {
    this.timer ??= setTimeout(() => void this.flush(), SAVE_DELAY);
  }

  /** Stores what `save` was asked for, as it is now; resolves when it is done or was refused, which is said. */
  async flush(): Promise<void> {
    if (this.timer !== undefined) this.turn = this.write((writer, work) => writer.push(work));
    await this.turn;
  }

  /** The page may be gone in a moment: what is not stored yet is handed over without waiting. */
  private handOver(): void {
    if (this.timer === undefined && this.writing === 0) return;
    const isSure = this.held.lock?.isSure && !this.wasAway;
    this.turn = this.write((writer, work) => (isSure ? writer.pushAtOnce(work) : writer.push(work)));
  }

  private async write(put: (writer: SessionWriter, work: SessionWork) => Promise<void>): Promise<void> {
    clearTimeout(this.timer);
    this.timer = undefined;
    const { held } = this;
    const { document, steps } = this.current;
    if (!held.writer || !(held.writer.isStored || this.current.isWorthKeeping)) return;
    this.writing++;
    try {
      await put(held.writer, { document, steps });
      this.failed = false;
    } catch (fault) {
      if (fault instanceof WrittenElsewhereError) this.goOnApart(held);
      else {
        this.failed = true;
        this.notices.say('warning', sentence(fault));
      }
    } finally {
      this.writing--;
    }
  }

  /** Another tab wrote this session, which only happens where locks fail: this one goes on as a session of its own. */
  private goOnApart(held: Held): void {
    if (this.held !== held) return;
    this.notices.say(
      'warning',
      `“${this.current.document.name}” was changed in another tab. Both are kept: what you do here is a session of its own from now on.`,
    );
    this.begin('empty');
    this.save();
  }

  private hold(held: Held, start: TabSession['start']): void {
    const { lock } = this.held;
    this.held = held;
    this.failed = false;
    // Nobody reads it before its last change is there.
    void this.turn.then(() => lock?.release());
    rememberTabSession({ id: held.id, start });
    const { document, steps } = this.current;
    this.keepRefused(hashesIn([document, steps]));
    if (held.lock || !held.writer) return;
    // Nobody else knows a new id, so nobody can have its lock.
    void lockSession(held.id).then((own) => {
      held.lock = own;
      if (this.held !== held) own?.release();
    });
  }

  /** A newer version of this tool needs the store. */
  private letGo(): void {
    this.storage = null;
    this.held = { ...this.held, writer: null };
    this.notices.say(
      'fault',
      'A newer Level Best was opened in another window, so this one keeps nothing any more. What you did until now is kept: reload this page.',
    );
  }

  /**
   * When the page has nothing else to do: takes sound files away that neither `hashes` nor a stored session needs.
   * Another window may need what this one doesn't know of, so nothing goes while there is one.
   */
  sweepWhenIdle(hashes: () => readonly string[]): void {
    const { locks } = navigator;
    // Held until the window closes.
    void locks?.request(WINDOW_LOCK, { mode: 'shared' }, () => new Promise(() => undefined)).catch(() => undefined);
    const sweep = async () => {
      const { held = [] } = (await locks?.query()) ?? {};
      if (held.filter(({ name }) => name === WINDOW_LOCK).length !== 1) return;
      await this.storage?.sweep(this.current.document, hashes());
    };
    // Tidying can be done another time.
    whenIdle(() => void sweep().catch(() => undefined));
  }
}

function whenIdle(work: () => void): void {
  if (typeof requestIdleCallback === 'function') requestIdleCallback(work, { timeout: 30_000 });
  else setTimeout(work, 5000);
}
