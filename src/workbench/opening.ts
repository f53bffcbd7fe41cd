import type { SessionDocument } from '../session/document.ts';
import { emptySession } from '../session/document.ts';
import { demo, demoSession } from './demo.ts';
import type { Notices } from './notices.ts';
import type { Saving } from './saving.ts';
import { sentence } from './sentence.ts';
import type { SessionFiles } from './session-files.ts';
import type { Planes, Sounds } from './sounds.ts';

/** A session that is ready to be worked on: its document, and its sound by SHA-256. */
export interface OpenedSession {
  readonly document: SessionDocument;
  readonly known: ReadonlyMap<string, Planes>;
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

/** Opens sessions, one after the other: the last one, the demo, one from a file, an empty one. */
export class Opening {
  private now: Promise<void> | null = null;

  constructor(
    private readonly host: OpeningHost,
    private readonly sounds: Sounds,
    private readonly saving: Saving,
    private readonly files: SessionFiles,
    private readonly notices: Notices,
  ) {}

  /** Resolves when the session that is being opened stands. */
  async done(): Promise<void> {
    await this.now?.catch(() => undefined);
  }

  /** Brings the last session back, or the demo where there is none. */
  last(): Promise<void> {
    return this.inTurn(async () => {
      this.host.player.setLoading();
      const last = await this.load();
      if (!last) return this.showDemo();
      this.host.replace(last);
      this.sayMissing('The browser no longer has');
    });
  }

  demo(): Promise<void> {
    return this.inTurn(() => this.showDemo());
  }

  /** A session file in place of this session; what can't be opened is named and nothing is lost. */
  file(file: File): Promise<void> {
    return this.inTurn(async () => {
      const opened = await this.files.open(file);
      if (!opened || !this.stands(file.name, opened)) return;
      this.saving.save();
      this.sayMissing('The session came without');
    });
  }

  /** An empty session; not while another one is being opened, which nobody has seen yet. */
  fresh(): void {
    if (this.now) return;
    this.host.replace({ document: emptySession(this.host.document.sampleRate), known: new Map() });
    this.saving.save();
  }

  /** A session that can't be played, measured or shown never becomes the current one: what was here comes back. */
  private stands(name: string, opened: OpenedSession): boolean {
    try {
      this.host.replace(opened);
      return true;
    } catch (fault) {
      this.notices.say('fault', `${name}: The session could not be opened (${sentence(fault)}). This one stays.`);
      return false;
    }
  }

  private async inTurn(open: () => Promise<void>): Promise<void> {
    const mine = this.done()
      .then(open)
      .finally(() => {
        if (this.now === mine) this.now = null;
      });
    this.now = mine;
    await mine;
  }

  /** The session that was worked on last; null where there is none or none that can be read, which is said. */
  private async load(): Promise<OpenedSession | null> {
    try {
      const document = await this.saving.open();
      if (!document) return null;
      const { known, faults } = await this.sounds.gather(document, ({ sha256 }) => this.saving.loadAudio(sha256));
      for (const fault of faults) this.notices.say('fault', fault);
      return { document, known };
    } catch (fault) {
      this.notices.say('warning', sentence(fault));
      return null;
    }
  }

  private async showDemo(): Promise<void> {
    const { host, saving } = this;
    host.player.setLoading();
    try {
      const { document, bytes } = demo();
      const { known, faults } = await this.sounds.gather(document, async ({ sha256 }) => bytes.get(sha256) ?? null);
      if (faults[0] !== undefined) throw new Error(faults[0]);
      host.replace({ document, known });
      for (const [sha256, own] of bytes) await saving.keepAudio(sha256, await own);
      saving.save();
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

/** True for a session that nobody has made anything of: empty, or the demo but for gains that are computed. */
export function isUntouched(document: SessionDocument): boolean {
  const empty = emptySession(document.sampleRate);
  return [empty, demoSession()].some((one) => plain(one) === plain(document));
}

function plain(document: SessionDocument): string {
  const computed = new Set(['matchGainDb', 'outputMatchDb']);
  return JSON.stringify(document, (key, value) => (computed.has(key) ? null : value));
}
