/** A session in memory that files are brought into, with the real reading, decoding and resampling. */
import { resample } from '../../src/dsp/resample.ts';
import { writeWav } from '../../src/files/wav.ts';
import type { Command } from '../../src/session/commands.ts';
import type { SessionDocument } from '../../src/session/document.ts';
import { emptySession } from '../../src/session/document.ts';
import { History } from '../../src/session/history.ts';
import { Adding } from '../../src/workbench/adding.ts';
import type { AddingHost } from '../../src/workbench/adding-host.ts';
import { Notices } from '../../src/workbench/notices.ts';
import type { Saving } from '../../src/workbench/saving.ts';
import { Sounds } from '../../src/workbench/sounds.ts';
import { Versions } from '../../src/workbench/versions.ts';

/** No two hosts give the same id, as no two windows do. */
let ids = 0;

export class FilesHost implements AddingHost {
  history: History;
  selected: string | null = null;
  /** Whoever wants to know of each step of the reading. */
  onNotify = () => {};
  readonly kept = new Map<string, Uint8Array>();
  readonly notices = new Notices();
  readonly sounds = new Sounds(async (planes, from, to) =>
    from === to ? planes : planes.map((plane) => resample(plane, from, to)),
  );
  readonly versions = new Versions(this, this.notices);
  readonly adding: Adding;
  private time = 0;

  constructor(document: SessionDocument = emptySession(48000)) {
    this.history = new History(document);
    const saving = { keepOwn: async (sha256: string, bytes: Uint8Array) => void this.kept.set(sha256, bytes) };
    this.adding = new Adding(this, this.sounds, saving as unknown as Saving, this.versions, this.notices);
  }
  get document(): SessionDocument {
    return this.history.document;
  }
  get session(): object {
    return this.history;
  }
  get texts(): string[] {
    return this.notices.notices.map(({ text }) => text);
  }
  get names(): string[] {
    return this.document.channels.map(({ name }) => name);
  }
  isWorthKeeping = true;
  startNewSession(): void {
    this.history = new History(emptySession(this.document.sampleRate));
    this.sounds.replace({ known: new Map() });
  }
  dispatch(command: Command): void {
    this.history.dispatch(command, (this.time += 10_000));
  }
  selectRack(rackId: string): void {
    this.selected = rackId;
  }
  newId(what: string): string {
    return `${what}-${++ids}`;
  }
  begin(sampleRate: number): void {
    this.history.adopt((draft) => {
      draft.sampleRate = sampleRate;
    });
  }
  soundsChanged(): void {}
  async whenFree(): Promise<void> {}
  notify(): void {
    this.onNotify();
  }
}

/** A WAV of a quiet ramp of its own. */
export function wav(name: string, seed: number, { sampleRate = 48000, frames = 480, bext = {} } = {}): File {
  const plane = Float32Array.from({ length: frames }, (_, i) => (0.1 * ((i * seed) % 97)) / 97);
  const bytes = writeWav(
    { channels: [plane], sampleRate, ...(Object.keys(bext).length > 0 ? { bext } : {}) },
    { bits: 24 },
  );
  return new File([bytes as Uint8Array<ArrayBuffer>], name);
}
