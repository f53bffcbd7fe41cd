/** What the screen knows of the session's sound files, beside the document. */
import type { AudioReference } from '../session/document.ts';
import type { KeptStore } from './kept-store.ts';
import type { Observable } from './observable.ts';

/** How far the reading of files is. */
export interface FileReading {
  /** Files that are done. */
  readonly done: number;
  readonly total: number;
  /** The one that is being read. */
  readonly file: string;
  readonly step: 'reading' | 'decoding';
  /** Of the work on that one, 0 to 1. */
  readonly share: number;
}

/** A file that came with the name of a channel's file, or in its place, but with other sound. */
export interface FileVersion {
  readonly id: number;
  /** Names of the channels whose file it could be. */
  readonly channels: readonly string[];
  readonly file: AudioReference;
  /** What those channels have now. */
  readonly before: AudioReference;
}

/** Use it in the channels' place, add it as a channel of its own, or leave it out. */
export type FileVersionAnswer = 'use' | 'add' | 'leave';

export interface FileStore extends Observable {
  /** Null while no files are being read. */
  readonly reading: FileReading | null;
  /** What was read until now comes in; the file that is being read, and the rest, do not. */
  stopReading(): void;
  /** Asks for a folder and brings its audio files in. */
  addFolder(): Promise<void>;
  /** Ids of channels whose sound is not here. */
  readonly missing: ReadonlySet<string>;
  /** The file that was looked for: a channel's own brings its sound back, another one becomes a question. */
  findFile(channelId: string, file: File): Promise<void>;
  readonly kept: KeptStore;
  /** Questions that wait for an answer. */
  readonly versions: readonly FileVersion[];
  /** Answers all of them, as one step of undo; one without an answer is left out. */
  answerVersions(answers: ReadonlyMap<number, FileVersionAnswer>): void;
}
