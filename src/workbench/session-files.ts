import { directoryOpen, fileSave } from 'browser-fs-access';
import type { SessionDocument } from '../session/document.ts';
import { openSessionFile, sessionJson, sessionZip, unreadZip } from '../session/session-file.ts';
import { hashesIn, sha256Hex } from '../session/storage.ts';
import type { Notices } from './notices.ts';
import type { Saving } from './saving.ts';
import { sentence } from './sentence.ts';
import type { Planes, Sounds } from './sounds.ts';

/** The session as a file of the user's: saved with a picker where there is one, else as a download. */
export class SessionFiles {
  constructor(
    private readonly sounds: Sounds,
    private readonly saving: Saving,
    private readonly notices: Notices,
  ) {}

  /** JSON alone, or a ZIP with the sound in it. */
  async save(document: SessionDocument, withAudio: boolean): Promise<void> {
    if (!withAudio) {
      const blob = new Blob([sessionJson(document)], { type: 'application/json' });
      await this.write(blob, document.name, '.json');
    } else {
      await this.writeZip(
        sessionZip(document, (sha256) => this.saving.loadAudio(sha256)),
        document.name,
      );
    }
  }

  /** A document that this tool can't read, with its sound. */
  async saveUnread(name: string, document: unknown): Promise<void> {
    await this.writeZip(
      unreadZip(document, hashesIn(document), (sha256) => this.saving.loadAudio(sha256)),
      name,
    );
  }

  private writeZip(zip: ReadableStream<Uint8Array>, name: string): Promise<void> {
    return this.write(new Response(zip, { headers: { 'content-type': 'application/zip' } }), name, '.zip');
  }

  private async write(content: Blob | Response, name: string, ending: string): Promise<void> {
    const stem = name.replace(/[^\p{L}\p{N} ._-]+/gu, ' ').trim() || 'session';
    try {
      await fileSave(content, { fileName: `${stem}${ending}`, extensions: [ending] });
    } catch (fault) {
      // A closed dialog is no fault.
      if (fault instanceof DOMException && fault.name === 'AbortError') return;
      this.notices.say('fault', `The session was not saved: ${sentence(fault)}`);
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
      this.notices.say('fault', `${file.name}: ${sentence(fault)}`);
      return null;
    }
  }
}
