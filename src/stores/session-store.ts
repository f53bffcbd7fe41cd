/** The session as the screen sees it: the document, its history, and what is done with it. */
import type { Command } from '../session/commands.ts';
import type { RackId, SessionDocument } from '../session/document.ts';
import type { FileStore } from './file-store.ts';
import type { KindGuideStore } from './kind-guide-store.ts';
import type { Observable } from './observable.ts';
import type { StartingPointStore } from './starting-point-store.ts';

export interface SessionStore extends Observable {
  readonly document: SessionDocument;
  dispatch(command: Command): void;
  undo(): void;
  redo(): void;
  readonly canUndo: boolean;
  readonly canRedo: boolean;
  /** What the next undo takes back, as a part of a sentence; null where there is nothing to. */
  readonly undoAbout: string | null;
  readonly redoAbout: string | null;
  /** What undo or redo did last, as a sentence; null once something else was done. */
  readonly undone: string | null;
  /** False for the demo as it comes and for an empty session: nothing is lost with them. */
  readonly isWorthKeeping: boolean;
  /** The rack the screen shows. */
  readonly selectedRack: RackId;
  selectRack(rackId: RackId): void;
  /** Adds a stage of the kind with its defaults at the end of the rack; returns its id. */
  addStage(rackId: RackId, kind: string): string;
  /** The same for several racks, as one step of undo; returns the ids in their order. */
  addStages(rackIds: readonly RackId[], kind: string): string[];
  /** A new bus, into which these channels play from now on; returns its id, or null when there is no room. */
  addBus(channelIds: readonly string[]): string | null;
  /** Brings the user's own audio files in, as channels of the current session. */
  addFiles(files: readonly File[]): Promise<void>;
  /** What is known of the session's sound files. */
  readonly files: FileStore;
  /** The racks that one can begin with. */
  readonly startingPoints: StartingPointStore;
  /** What each stage kind does. */
  readonly kindGuide: KindGuideStore;
  /** A new session from these files only (the current one stays stored until then; asks nothing). */
  startNewSession(): void;
  /** Back to the demo session as it came. */
  openDemo(): Promise<void>;
  /** A new id for a scene, a link or a copied stage. */
  newId(what: 'scene' | 'link' | 'stage'): string;
  /** Trims that put every stage of these racks at the alignment level; one step of undo. */
  setToAlignment(rackIds: readonly RackId[]): Promise<void>;
  /** Saves the session as a file: a JSON document, or a ZIP with the sound files in it. False where no file came of it. */
  saveSession(withAudio: boolean): Promise<boolean>;
  /** Opens a session file (JSON or ZIP); what can't be opened is named in a notice and nothing is lost. */
  openSession(file: File): Promise<void>;
}
