/** What the screen knows of the racks that one can begin with. */
import type { RackProfile } from '../measure/rack-profile.ts';
import type { NamedRack } from '../session/rack-file.ts';
import type { RackId } from '../session/schema.ts';
import type { Observable } from './observable.ts';

export type { RackProfile, ToneProfile } from '../measure/rack-profile.ts';
export type { NamedRack } from '../session/rack-file.ts';

export interface ListedPoint extends NamedRack {
  readonly id: string;
  /** Kept by the user; the others come with the tool. */
  readonly isOwn: boolean;
  /** Why it can't be used: it was kept by a newer Level Best, or is damaged. Its stages are none then; null where it can. */
  readonly unreadable: string | null;
  /** What it does at the rack that was last looked for; null until it is measured. */
  readonly profile: RackProfile | null;
}

export interface StartingPointStore extends Observable {
  /** The tool's own first, then the user's in the order of their names. */
  readonly points: readonly ListedPoint[];
  /** False where the browser keeps nothing: a rack can be saved as a file then. */
  readonly isKept: boolean;
  /** Brings the list up to date and measures each point at this rack's input, one after the other. */
  look(rackId: RackId): Promise<void>;
  /** Measures no more; what is known stays. */
  leave(): void;
  /** Puts a point's stages in the place of these racks' own, in one step of undo. */
  put(id: string, rackIds: readonly RackId[]): void;
  /** Keeps a rack's stages in the list under a name, in this browser and for every session. False where that failed, which is said. */
  keep(rackId: RackId, name: string): Promise<boolean>;
  /** Gives one of the user's own up for good. */
  discard(id: string): Promise<void>;
  /** One as a file. */
  save(id: string): Promise<void>;
  /** Asks for a rack file and keeps what is in it. */
  openFile(): Promise<void>;
  /** Keeps the rack in a file, and says so. False for a file of anything else, of which nothing is said. */
  takeFile(file: File): Promise<boolean>;
}
