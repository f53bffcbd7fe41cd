/** What is said after files were brought in. One sentence each, or null where there is nothing to say. */

export function notAudio(names: readonly string[]): string | null {
  return countedFiles(names, 'is not audio and was left out.', 'are not audio and were left out.');
}

export function alreadyHere(names: readonly string[]): string | null {
  return countedFiles(
    names,
    'is in the session already and was not added again.',
    'are in the session already and were not added again.',
  );
}

export function resampled(names: readonly string[], sampleRate: number): string | null {
  const rate = `${sampleRate / 1000} kHz`;
  return countedFiles(
    names,
    `has another sample rate than the session. It is heard and exported at ${rate}.`,
    `have other sample rates than the session. They are heard and exported at ${rate}.`,
  );
}

export function soundBack(channels: readonly string[]): string | null {
  const names = new Set(channels);
  return names.size === 0 ? null : `${[...names].join(', ')}: the sound is back.`;
}

export function noRoom(names: readonly string[], most: number): string | null {
  const text = countedFiles(names, 'was not added', 'were not added');
  return text && `${text}: a session holds ${most} channels. Remove some, or start another session for the rest.`;
}

export function stoppedAt(read: number, total: number): string {
  if (total === 1) return 'Stopped: the file did not come in.';
  return `Stopped: ${read} of ${total} files were read and came in.`;
}

function countedFiles(names: readonly string[], one: string, many: string): string | null {
  if (names.length === 0) return null;
  return names.length === 1 ? `${names[0]} ${one}` : `${names.length} files ${many}`;
}
