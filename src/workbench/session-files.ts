import { directoryOpen, fileSave } from 'browser-fs-access';
import type { Planes } from '../render/rack-renderer.ts';
import type { SessionDocument } from '../session/document.ts';
import { SessionError } from '../session/document.ts';
import { hashesIn, sha256Hex } from '../session/hashes.ts';
import { isNestedTooDeep } from '../session/parse.ts';
import {
  lackingSound,
  namedFiles,
  openSessionFile,
  sessionJson,
  sessionZip,
  unreadZip,
} from '../session/session-file.ts';
import { StorageError } from '../session/store/storage-error.ts';
import type { Notices } from './notices.ts';
import { sentence } from './notices.ts';
import type { Saving } from './saving.ts';
import type { Sounds } from './sounds.ts';

/** The session as a file of the user's: saved with a picker where there is one, else as a download. */
export class SessionFiles {
  constructor(
    private readonly sounds: Sounds,
    private readonly saving: Saving,
    private readonly notices: Notices,
  ) {}

  /**
   * JSON alone, or a ZIP with the sound in it. One that would not be whole is not written.
   * @returns whether the file is there; what prevented it was said, but for a closed dialog
   */
  async save(document: SessionDocument, withAudio: boolean): Promise<boolean> {
    if (!withAudio) {
      const blob = new Blob([sessionJson(document)], { type: 'application/json' });
      return this.write(blob, document.name, '.json');
    }
    const lacking = await this.lacking(document);
    if (lacking.length > 0) {
      this.notices.say('fault', `The session was not saved: ${lackingSound(lacking)}`);
      return false;
    }
    return this.writeZip(
      sessionZip(document, (sha256) => this.saving.loadAudio(sha256)),
      document.name,
    );
  }

  /** Names of the document's files that are neither in the browser's store nor in memory. */
  private async lacking(document: SessionDocument): Promise<string[]> {
    const names = [...namedFiles(document)];
    const here = await Promise.all(names.map(([sha256]) => this.saving.hasAudio(sha256)));
    return [...new Set(names.flatMap(([, file], i) => (here[i] ? [] : [file])))];
  }

  /** A document that this tool can't read, with its sound. */
  async saveUnread(name: string, document: unknown): Promise<void> {
    if (isNestedTooDeep(document)) {
      this.notices.say('fault', `“${name}” was not saved: its entries lie too deep in one another for a file.`);
      return;
    }
    const hashes = hashesIn(document);
    const written = await this.writeZip(
      unreadZip(document, hashes, (sha256) => this.saving.loadAudio(sha256)),
      name,
    );
    const here = await Promise.all(hashes.map((sha256) => this.saving.hasAudio(sha256)));
    const lacking = here.filter((one) => !one).length;
    if (!written || lacking === 0) return;
    this.notices.say(
      'warning',
      `“${name}” was saved, but ${lacking} of the ${hashes.length} files it names are not here.`,
    );
  }

  private writeZip(zip: ReadableStream<Uint8Array>, name: string): Promise<boolean> {
    return this.write(new Response(zip, { headers: { 'content-type': 'application/zip' } }), name, '.zip');
  }

  /** @param what is said where it can't be written; false where no file came of it */
  async write(content: Blob | Response, name: string, ending: string, what = 'The session'): Promise<boolean> {
    const stem = name.replace(/[^\p{L}\p{N} ._-]+/gu, ' ').trim() || 'session';
    try {
      await fileSave(content, { fileName: `${stem}${ending}`, extensions: [ending] });
      return true;
    } catch (fault) {
      // A closed dialog is no fault.
      if (fault instanceof DOMException && fault.name === 'AbortError') return false;
      this.notices.say('fault', `${what} was not saved: ${sentence(fault)}`);
      return false;
    }
  }

  /** The files of a folder that is asked for; null where it was not given or can't be read, which is said. */
  async openFolder(): Promise<readonly File[] | null> {
    try {
      return (await directoryOpen({ recursive: true, id: 'stems' })) as File[];
    } catch (fault) {
      // A closed dialog is no fault.
      if (fault instanceof DOMException && fault.name === 'AbortError') return null;
      this.notices.say('fault', `The folder was not read: ${sentence(fault)}`);
      return null;
    }
  }

  /** A session and its sound from a file; null where it can't be opened, which is said. */
  async open(file: File): Promise<{ document: SessionDocument; known: Map<string, Planes> } | null> {
    try {
      const bytes = new Uint8Array(await file.arrayBuffer());
      const { document, audio } = await openSessionFile(bytes, sha256Hex);
      // A session without its sound may still find it here, from before.
      const { known, faults } = await this.sounds.gather(
        document,
        async ({ sha256 }) => audio.get(sha256) ?? (await this.saving.loadAudio(sha256)),
      );
      for (const [sha256, own] of audio) if (known.has(sha256)) await this.saving.keepOwn(sha256, own);
      for (const fault of faults) this.notices.say('fault', fault);
      return { document, known };
    } catch (fault) {
      this.notices.say('fault', `${file.name}: ${refusal(fault)}`);
      return null;
    }
  }
}

/** Our own faults are sentences; anything else that stops the opening of a file is told as the file's fault. */
function refusal(fault: unknown): string {
  if (fault instanceof SessionError || fault instanceof StorageError) return fault.message;
  return `The session could not be opened (${sentence(fault)}). Open another copy of it.`;
}
