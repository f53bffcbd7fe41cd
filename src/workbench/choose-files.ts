/** A file with its place in the folder it came from, where it came from one. */
export type PlacedFile = Pick<File, 'name' | 'type'> & {
  readonly webkitRelativePath?: string;
  /** As the drop of a folder gives it. */
  readonly relativePath?: string;
};

export interface Chosen<T> {
  /** In natural order of their paths: "2" before "10". */
  readonly audio: readonly T[];
  /** Names of files that are not audio. Hidden ones are not among them. */
  readonly others: readonly string[];
}

const AUDIO_NAME = /\.(wav|wave|bwf|rf64|w64|flac|aif|aiff|aifc|mp3|ogg|oga|opus|m4a|mp4|caf)$/i;
/** What archives and file managers put beside the user's own files. */
const HIDDEN = /(^|\/)(\.(?!\.?\/)|__MACOSX\/|Thumbs\.db$|desktop\.ini$)/i;

const order = new Intl.Collator('en', { numeric: true, sensitivity: 'base' });

/** Which of these files are to be read as audio, by their names; a name without an ending is tried. */
export function chooseFiles<T extends PlacedFile>(files: readonly T[]): Chosen<T> {
  const placed = files.map((file) => ({ file, path: pathOf(file) })).filter(({ path }) => !HIDDEN.test(path));
  placed.sort((a, b) => order.compare(a.path, b.path) || (a.path < b.path ? -1 : 1));
  const isAudio = ({ file }: { file: T }) =>
    AUDIO_NAME.test(file.name) || file.type.startsWith('audio/') || !file.name.includes('.');
  return {
    audio: placed.filter(isAudio).map(({ file }) => file),
    others: placed.filter((one) => !isAudio(one)).map(({ file }) => file.name),
  };
}

/** The folder that all of them came from; null where there is none or more than one. */
export function commonFolder(files: readonly PlacedFile[]): string | null {
  const tops = new Set(files.map((file) => /^([^/]+)\//.exec(pathOf(file))?.[1] ?? null));
  const [only] = tops;
  return tops.size === 1 && only ? only : null;
}

/** The folders that the file lies in, outermost first; none where it came alone. */
export function foldersOf(file: PlacedFile): readonly string[] {
  return pathOf(file).split('/').slice(0, -1);
}

function pathOf({ name, webkitRelativePath, relativePath }: PlacedFile): string {
  return (relativePath || webkitRelativePath || name).replace(/^\.?\//, '');
}
