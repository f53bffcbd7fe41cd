/** What the screen knows of the sessions that the browser keeps. */
import type { Observable } from './observable.ts';

/** A session in the browser's store. */
export interface KeptSession {
  readonly id: string;
  readonly name: string;
  /** When it was stored last, ms since 1970. */
  readonly changed: number;
  readonly channels: number;
  /** This tab has it, another one, or none. */
  readonly open: 'here' | 'elsewhere' | 'nowhere';
  /** Why it can't be opened: `newer`, saved by a newer Level Best; null where it can. */
  readonly unreadable: 'newer' | 'damaged' | null;
}

export interface KeptStore extends Observable {
  /** The one that was changed last first, as they were when `look` was called last. */
  readonly sessions: readonly KeptSession[];
  /** False where this window keeps nothing, or could not keep what was done last. */
  readonly isKept: boolean;
  /** The session that this tab would have shown, but for another tab that has it; null where there is none. */
  readonly taken: KeptSession | null;
  /** The user has seen that it is taken, and goes on with what is here. */
  leaveTaken(): void;
  /** Brings `sessions` up to date. */
  look(): Promise<void>;
  /** Opens one in this session's place, which stays in the browser. */
  open(id: string): Promise<void>;
  /** Opens a copy of one. */
  openCopy(id: string): Promise<void>;
  /** Puts a copy of one beside it. */
  duplicate(id: string): Promise<void>;
  /** Gives one up for good. */
  discard(id: string): Promise<void>;
  /** One that can't be read, as a file with its sound, for a Level Best that can. */
  save(id: string): Promise<void>;
}
