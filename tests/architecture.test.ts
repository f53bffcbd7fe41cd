/** The dependency rule of DEVELOPERS.md, read from the sources' own imports. */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import type { Import } from './support/imports.ts';
import { importsBelow, importsOf, sourceFiles } from './support/imports.ts';

const root = join(dirname(fileURLToPath(import.meta.url)), '..');

/** Folders that each part may load, and those of which it may know the types. */
const RULES: Record<string, { loads: string[]; types?: string[] }> = {
  'src/dsp': { loads: [] },
  'src/files': { loads: [], types: ['src/dsp'] },
  'src/engine': { loads: ['src/dsp'] },
  'src/session': { loads: ['src/dsp/units.ts'] },
  'src/blind': { loads: ['src/dsp/units.ts'] },
  'src/render': { loads: ['src/dsp', 'src/engine', 'src/session'] },
  'src/measure': { loads: ['src/dsp', 'src/engine', 'src/render', 'src/session'] },
  'src/export': { loads: ['src/dsp', 'src/engine', 'src/files', 'src/measure', 'src/render', 'src/session'] },
  // What the stores say to the screen. Types, and no more at run time than what stands beside them.
  'src/stores': {
    loads: ['src/dsp/units.ts'],
    types: ['src/blind', 'src/dsp', 'src/engine', 'src/export', 'src/measure', 'src/render', 'src/session'],
  },
  'src/workers': {
    loads: [
      'src/dsp',
      'src/engine',
      'src/export',
      'src/files',
      'src/measure',
      'src/render',
      'src/session',
      'src/stores',
    ],
  },
  worklets: { loads: ['src/dsp', 'src/engine'] },
  'src/cli': {
    loads: [
      'src/blind',
      'src/dsp',
      'src/engine',
      'src/export',
      'src/files',
      'src/measure',
      'src/render',
      'src/session',
      'package.json',
    ],
  },
  'src/audio': {
    loads: [
      'src/dsp',
      'src/engine',
      'src/files',
      'src/measure',
      'src/render',
      'src/session',
      'src/stores',
      'src/workers',
      'worklets/session.worklet.ts',
    ],
  },
  // The screen gets everything by context, in the shape of the stores. It reads declarations: what a parameter or a stage kind is, how a document
  // and a record of trials are laid out.
  'src/components': {
    loads: [
      'src/engine/parameters.ts',
      'src/engine/stages/catalogue.ts',
      'src/session/document.ts',
      'src/blind/trial-plan.ts',
      'src/blind/trial-record.ts',
      'src/blind/trial-words.ts',
      'src/dsp/units.ts',
      'src/stores',
    ],
    types: ['src/blind', 'src/dsp', 'src/engine', 'src/export', 'src/measure', 'src/render', 'src/session'],
  },
  // The stores that the screen receives: they do the work, and know nothing of the screen.
  'src/workbench': {
    loads: [
      'src/audio',
      'src/blind',
      'src/dsp',
      'src/engine',
      'src/export',
      'src/files',
      'src/measure',
      'src/render',
      'src/session',
      'src/stores',
      'src/workers',
      'samples',
    ],
  },
};

const AUDIO_LIBRARY = 'standardized-audio-context';

function inside(path: string, places: readonly string[]): boolean {
  return places.some((place) => path === place || path.startsWith(`${place}/`));
}

function breaks(part: string, { to, typeOnly, isPackage }: Import): boolean {
  if (isPackage) return false;
  const { loads, types = [] } = RULES[part];
  return !inside(to, [part, ...loads, ...(typeOnly ? types : [])]);
}

/** The places of one circle, in order; null where there is none. What leads to itself is none. */
function circleIn(ways: readonly (readonly [string, string])[]): string[] | null {
  const next = new Map<string, Set<string>>();
  for (const [from, to] of ways) if (from !== to) next.set(from, (next.get(from) ?? new Set()).add(to));
  const done = new Set<string>();
  const follow = (place: string, path: readonly string[]): string[] | null => {
    if (path.includes(place)) return [...path.slice(path.indexOf(place)), place];
    if (done.has(place)) return null;
    for (const to of next.get(place) ?? []) {
      const circle = follow(to, [...path, place]);
      if (circle) return circle;
    }
    done.add(place);
    return null;
  };
  for (const place of next.keys()) {
    const circle = follow(place, []);
    if (circle) return circle;
  }
  return null;
}

const say = ({ from, to, typeOnly }: Import) => `${from} → ${to}${typeOnly ? ' (types)' : ''}`;

describe('who imports whom', () => {
  it.each(Object.keys(RULES))('%s', (part) => {
    expect(
      importsBelow(root, part)
        .filter((found) => breaks(part, found))
        .map(say),
    ).toEqual([]);
  });

  it('has a rule for every part', () => {
    const parts = readdirSync(join(root, 'src'), { withFileTypes: true })
      .filter((entry) => entry.isDirectory())
      .map(({ name }) => `src/${name}`);
    expect(parts.filter((part) => !(part in RULES))).toEqual([]);
  });

  it('imports no file that is not there', () => {
    const all = Object.keys(RULES).flatMap((part) => importsBelow(root, part));
    // AssemblyScript writes its imports without the ending.
    const there = (path: string) => [path, `${path}.ts`].some((name) => existsSync(join(root, name)));
    const lost = all.filter(({ to, isPackage }) => !isPackage && !there(to));
    expect(lost.map(say)).toEqual([]);
  });

  it('has no circle of imports, also none of types, between folders or between files', () => {
    const all = importsBelow(root, 'src').filter(({ to, isPackage }) => !isPackage && to.startsWith('src/'));
    const folder = (path: string) => path.split('/').slice(0, 2).join('/');
    expect(circleIn(all.map(({ from, to }) => [from, to]))).toBeNull();
    expect(circleIn(all.map(({ from, to }) => [folder(from), folder(to)]))).toBeNull();
  });

  it('lets only src/audio know the Web Audio library', () => {
    const everywhere = [...importsBelow(root, 'src'), ...importsBelow(root, 'worklets')];
    const known = everywhere.filter(({ to }) => to === AUDIO_LIBRARY).map(({ from }) => dirname(from));
    expect([...new Set(known)]).toEqual(['src/audio']);
  });

  it('lets only main.ts load components', () => {
    const loaders = importsBelow(root, 'src').filter(
      ({ from, to, typeOnly }) => !typeOnly && inside(to, ['src/components']) && !inside(from, ['src/components']),
    );
    expect([...new Set(loaders.map(({ from }) => from))]).toEqual(['src/main.ts']);
  });

  it('keeps Node out of everything but the command line', () => {
    const node = importsBelow(root, 'src').filter(
      ({ to, from }) => to.startsWith('node:') && !inside(from, ['src/cli']),
    );
    expect(node.map(say)).toEqual([]);
  });
});

describe('worklet entries', () => {
  const entries = sourceFiles(root, 'worklets').filter((path) => path.endsWith('.worklet.ts'));

  it('there are some', () => {
    expect(entries).toContain('worklets/session.worklet.ts');
  });

  // The audio library lifts imports out of a worklet's source by a regular expression, which a comment before the
  // first of them defeats (DEVELOPERS.md, "Worklets").
  it.each(entries)('%s starts with its imports and registers one processor', (path) => {
    const text = readFileSync(join(root, path), 'utf8');
    expect(text).toMatch(/^import\s/);
    expect(text.match(/\bregisterProcessor\s*\(/g)).toHaveLength(1);
    expect(text.match(/\bextends\s+AudioWorkletProcessor\b/g)).toHaveLength(1);
    const lines = text.split('\n');
    const last = lines.findLastIndex((line) => /^(import\s|} from )/.test(line));
    expect(lines.slice(0, last).filter((line) => /^\s*(\/\/|\/\*)/.test(line))).toEqual([]);
  });
});

describe('the reader of imports', () => {
  it('finds a circle, and none where ways only meet', () => {
    expect(
      circleIn([
        ['a', 'b'],
        ['b', 'c'],
        ['c', 'b'],
      ]),
    ).toEqual(['b', 'c', 'b']);
    expect(
      circleIn([
        ['a', 'b'],
        ['a', 'c'],
        ['b', 'd'],
        ['c', 'd'],
        ['d', 'd'],
      ]),
    ).toBeNull();
  });

  it('finds every form, tells types, and skips comments and text', () => {
    const text = `import a from './a.ts';
import type { B } from '../engine/b.ts';
import {
  c,
  type D,
} from "./c.ts";
export * from './e.ts';
export type { F } from './f.ts';
import './g.css';
import url from '../../worklets/w.ts?worker&url';
// import x from './comment.ts';
/* import y from './comment.ts'; */
const text = "import z from 'nowhere'";
const later = await import('./h.ts');
new Worker(new URL('./i.ts', import.meta.url));
import lit from 'lit';
`;
    const found = importsOf('src/dsp/x.ts', text);
    expect(
      found.filter(({ isPackage }) => !isPackage).map(({ to, typeOnly }) => `${to}${typeOnly ? ' types' : ''}`),
    ).toEqual([
      'src/dsp/a.ts',
      'src/engine/b.ts types',
      'src/dsp/c.ts',
      'src/dsp/e.ts',
      'src/dsp/f.ts types',
      'src/dsp/g.css',
      'worklets/w.ts',
      'src/dsp/h.ts',
      'src/dsp/i.ts',
    ]);
    expect(found.filter(({ isPackage }) => isPackage).map(({ to }) => to)).toEqual(['lit']);
    // And a rule is indeed broken by such imports.
    expect(found.filter((one) => breaks('src/dsp', one)).map(say)).toEqual([
      'src/dsp/x.ts → src/engine/b.ts (types)',
      'src/dsp/x.ts → worklets/w.ts',
    ]);
  });
});
