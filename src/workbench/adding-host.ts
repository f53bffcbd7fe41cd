import type { Command } from '../session/commands.ts';
import type { RackId, SessionDocument } from '../session/document.ts';

/** The session that files are brought into, as far as that needs it. */
export interface AddingHost {
  readonly document: SessionDocument;
  /** Another object as soon as another session stands in this one's place. */
  readonly session: object;
  /** False for the demo as it comes and for an empty session. */
  readonly isWorthKeeping: boolean;
  /** An empty session in place of this one. */
  startNewSession(): void;
  dispatch(command: Command): void;
  selectRack(rackId: RackId): void;
  newId(what: string): string;
  /** An empty session takes the rate of the first sound that comes into it. */
  begin(sampleRate: number): void;
  /** Sound came for channels that are there. */
  soundsChanged(): void;
  /** Resolves when the session may change. */
  whenFree(): Promise<void>;
  notify(): void;
}
