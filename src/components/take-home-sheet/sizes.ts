/** A file's size as file managers count: "412 kB", "41.5 MB", "2.10 GB". */
export function sizeText(bytes: number): string {
  if (bytes < 999_500) return `${Math.max(1, Math.round(bytes / 1e3))} kB`;
  return bytes < 999_950_000 ? `${(bytes / 1e6).toFixed(1)} MB` : `${(bytes / 1e9).toFixed(2)} GB`;
}
