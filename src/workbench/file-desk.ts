import type { FileReading, FileStore, FileVersion, FileVersionAnswer } from '../stores/file-store.ts';
import type { KeptStore } from '../stores/kept-store.ts';
import type { Observable } from '../stores/observable.ts';
import type { Adding } from './adding.ts';
import type { SessionFiles } from './session-files.ts';
import type { Versions } from './versions.ts';

export interface FileDeskSession extends Observable {
  /** Channels whose sound is not here, by id. */
  readonly missing: ReadonlySet<string>;
}

/** The session's sound files as the screen sees them: what comes in, what is missing, what waits for a word. */
export class FileDesk implements FileStore {
  constructor(
    private readonly session: FileDeskSession,
    private readonly adding: Adding,
    private readonly versionsAsked: Versions,
    private readonly files: SessionFiles,
    readonly kept: KeptStore,
  ) {}

  subscribe(listener: () => void): () => void {
    return this.session.subscribe(listener);
  }
  get reading(): FileReading | null {
    return this.adding.reading;
  }
  get missing(): ReadonlySet<string> {
    return this.session.missing;
  }
  get versions(): readonly FileVersion[] {
    return this.versionsAsked.questions;
  }

  stopReading(): void {
    this.adding.stop();
  }
  async addFolder(): Promise<void> {
    const files = await this.files.openFolder();
    if (files) await this.adding.add(files);
  }
  findFile(channelId: string, file: File): Promise<void> {
    return this.adding.find(channelId, file);
  }
  answerVersions(answers: ReadonlyMap<number, FileVersionAnswer>): void {
    this.versionsAsked.answer(answers);
  }
}
