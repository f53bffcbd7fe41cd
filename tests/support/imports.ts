/** What source files import, read from their text. */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative, resolve, sep } from 'node:path';

export interface Import {
  /** The importing file, from the project's folder. */
  readonly from: string;
  /** The imported file from the project's folder, without a query, or the package's specifier. */
  readonly to: string;
  /** True when only types are imported, which leaves nothing at run time. */
  readonly typeOnly: boolean;
  readonly isPackage: boolean;
}

/** Imports, re-exports, side-effect imports, dynamic imports and workers by URL. */
const STATEMENT =
  /(?:^|[;\n}])\s*(?:import|export)\s+(type\s)?\s*(?:[\w$*\s{},]*?\sfrom\s*)?(['"])([^'"]+)\2|\bimport\s*\(\s*(?:\/\*.*?\*\/\s*)?(['"])([^'"]+)\4|new\s+URL\s*\(\s*(['"])(\.[^'"]+)\6\s*,\s*import\.meta\.url/g;

/** The imports of one file's text. @param path the file, from the project's folder */
export function importsOf(path: string, text: string): Import[] {
  return [...withoutComments(text).matchAll(STATEMENT)].map((match) => {
    const specifier = match[3] ?? match[5] ?? match[7];
    const isPackage = !specifier.startsWith('.');
    const target = isPackage ? specifier : resolve('/', dirname(path), specifier.replace(/\?.*$/, '')).slice(1);
    return { from: path, to: target.split(sep).join('/'), typeOnly: match[1] !== undefined, isPackage };
  });
}

/** Every import of every .ts file below a folder of the project, tests beside the sources left out. */
export function importsBelow(root: string, folder: string): Import[] {
  return sourceFiles(root, folder).flatMap((path) => importsOf(path, readFileSync(join(root, path), 'utf8')));
}

/** The .ts files below a folder, from the project's folder; without tests and made files. */
export function sourceFiles(root: string, folder: string): string[] {
  // A part that is planned, but holds nothing yet, isn't there in a fresh clone.
  if (!existsSync(join(root, folder))) return [];
  return readdirSync(join(root, folder), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && entry.name.endsWith('.ts') && !/\.(test|generated|d)\.ts$/.test(entry.name))
    .map((entry) => relative(root, join(entry.parentPath, entry.name)).split(sep).join('/'))
    .sort();
}

/** Text with its comments blanked out; quoted text stays. */
export function withoutComments(text: string): string {
  const token = /\/\*[\s\S]*?\*\/|\/\/[^\n]*|'(?:\\.|[^'\\\n])*'|"(?:\\.|[^"\\\n])*"|`(?:\\.|[^`\\])*`/g;
  return text.replace(token, (found) => (found.startsWith('/') ? found.replace(/[^\n]/g, ' ') : found));
}
