/** Aligned text for people; machines get --json. */

/** Rows of cells in columns; the last column is as long as it likes. */
export function table(rows: readonly (readonly string[])[], gap = 2): string {
  const widths: number[] = [];
  for (const row of rows) {
    row.slice(0, -1).forEach((cell, column) => {
      widths[column] = Math.max(widths[column] ?? 0, cell.length);
    });
  }
  return rows
    .map((row) =>
      row
        .map((cell, column) => (column < row.length - 1 ? cell.padEnd(widths[column] + gap) : cell))
        .join('')
        .trimEnd(),
    )
    .join('\n');
}

/** A figure with a true minus sign, right-aligned to 8 places; a dash where it isn't defined. */
export function figure(value: number | null, digits = 1, signed = false): string {
  if (value === null) return '–'.padStart(8);
  return signedText(value, digits, signed).padStart(8);
}

/** The figure alone: "−16.1", "+0.3" where `signed`, never "−0.0". */
export function signedText(value: number, digits: number, signed = false): string {
  const text = Math.abs(value).toFixed(digits);
  if (Number(text) === 0) return text;
  return `${value < 0 ? '−' : signed ? '+' : ''}${text}`;
}

/** "48 kHz", "44.1 kHz". */
export function rateText(sampleRate: number): string {
  return `${sampleRate / 1000} kHz`;
}

/** "mono", "stereo" or "6 channels". */
export function channelsText(channels: number): string {
  return channels === 1 ? 'mono' : channels === 2 ? 'stereo' : `${channels} channels`;
}

/** "12.34 s" or "3 min 20.0 s". */
export function durationText(seconds: number): string {
  const minutes = Math.floor(seconds / 60);
  return minutes === 0 ? `${seconds.toFixed(2)} s` : `${minutes} min ${(seconds - 60 * minutes).toFixed(1)} s`;
}
