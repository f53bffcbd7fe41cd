/** The scales of `tokens.css`, enforced: styles take space, type, sizes and corners from them. */
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { sourceFiles } from './support/imports.ts';

const root = join(dirname(fileURLToPath(import.meta.url)), '..');
const SMALLEST_PX = 12;

/** What isn't of the scale, by file and declaration, with its reason. */
const EXCEPTIONS: Record<string, string> = {
  'base/base.styles.ts: margin: -1px': 'text for screen readers alone: a box of one pixel, moved out of the way',
  'action-menu/action-menu.styles.ts: margin: 0 0 0.18em 0.4em': 'a mark in a line of text grows with the text',
  'base/segments.styles.ts: min-height: calc(var(--target) - 2px)': 'its group’s two borders are taken off',
  'action-menu/action-menu.styles.ts: width: 0.35em': 'the same mark',
  'action-menu/action-menu.styles.ts: height: 0.35em': 'the same mark',
  'harmonic-list/harmonic-list.styles.ts: min-height: 1.25em': 'one line of its own text, kept free',
  'spectrum-plot/spectrum-plot.styles.ts: height: 1.4em': 'one line of its own text, kept free',
  'spectrum-plot/spectrum-plot.styles.ts: height: 2.8em': 'two lines of it',
  'spectrum-plot/spectrum-plot.styles.ts: height: 4.2em': 'three lines of it',
};
/** Widths of a component at which it is laid out otherwise; a condition can’t read a token. */
const BREAKPOINTS = ['16rem', '31rem', '36rem', '44rem', '60rem'];

const DECLARATION = new RegExp(
  `(?<![\\w-])(${[
    'font-size|border-radius',
    'gap|row-gap|column-gap|padding(?:-[a-z]+)*|margin(?:-[a-z]+)*',
    '(?:min-|max-)?(?:width|height|inline-size|block-size)|flex-basis|--[\\w-]*(?:width|height|padding)',
    'inset|top|right|bottom|left|translate|grid-template(?:-columns|-rows)?|grid-auto-(?:columns|rows)',
  ].join('|')}):\\s*([^;{}]+);`,
  'g',
);
/** As thick as a rule, and as large as text for screen readers alone is drawn. */
const HAIRLINE = '1px';
/** These take no length but the scale’s; a size may also count characters, share what is left or follow the window. */
const SPACE = /^(gap|row-gap|column-gap|padding|margin)/;

function allowed(property: string, value: string): boolean {
  if (property === 'font-size') return /^(var\(--text-(small|body|lead|title|display)\)|inherit)$/.test(value);
  if (property === 'border-radius') return /^(0|var\(--radius(-round)?\)|inherit)$/.test(value);
  if (/^(width|height)$/.test(property) && value === HAIRLINE) return true;
  // Inside calc() neither.
  const ownUnits = SPACE.test(property) ? /[\d.](rem|em|px|pt|ch|ex|vw|vh)\b/ : /(?<!\b0)(?<=[\d.])(rem|em|px|pt)\b/;
  return !ownUnits.test(value);
}

function styleText(text: string): string {
  const styles = [...text.matchAll(/css`((?:[^`\\]|\\.)*)`/g)].map(([, body]) => body).join('\n');
  return styles.replace(/\/\*[\s\S]*?\*\//g, '');
}

function declarations(text: string): { property: string; value: string }[] {
  return [...styleText(text).matchAll(DECLARATION)].map(([, property, value]) => ({
    property,
    value: value.replace(/\s+/g, ' ').trim(),
  }));
}

const offences = (name: string, text: string) =>
  declarations(text)
    .filter(({ property, value }) => !allowed(property, value))
    .map(({ property, value }) => `${name}: ${property}: ${value}`);

describe('styles of components', () => {
  const files = sourceFiles(root, 'src/components').map((path) => ({
    name: path.slice('src/components/'.length),
    text: readFileSync(join(root, path), 'utf8'),
  }));
  const found = files.flatMap(({ name, text }) => offences(name, text));

  it('take space, type, sizes and corners from the scales', () => {
    expect(files.flatMap(({ text }) => declarations(text)).length).toBeGreaterThan(1000);
    expect(found.filter((one) => !(one in EXCEPTIONS))).toEqual([]);
  });

  it('have no exception that is no more', () => {
    expect(Object.keys(EXCEPTIONS).filter((one) => !found.includes(one))).toEqual([]);
  });

  it('count in rem nowhere else, but where their layout changes', () => {
    const rems = files.flatMap(({ name, text }) =>
      styleText(text)
        .split('\n')
        .filter((line) => /[\d.]rem\b/.test(line) && !/^\s*@container/.test(line))
        .map((line) => `${name}: ${line.trim()}`),
    );
    expect(rems).toEqual([]);
    const breakpoints = files.flatMap(({ text }) => text.match(/(?<=@container[^{]*)[\d.]+rem/g) ?? []);
    expect([...new Set(breakpoints)].sort()).toEqual(BREAKPOINTS);
  });

  it('name no token that isn’t there, and every step of the scales', () => {
    const tokens = readFileSync(join(root, 'src/components/tokens.css'), 'utf8');
    const token = /--(?:space|text|radius|target|mark|row|pane|axis)(?:-\w+)?\b/g;
    const named = new Set(files.flatMap(({ text }) => text.match(token) ?? []));
    expect([...named].filter((name) => !tokens.includes(`${name}:`))).toEqual([]);
    const own = tokens.slice(0, tokens.indexOf('}')).match(token) ?? [];
    expect([...new Set(own)].filter((name) => !named.has(name))).toEqual([]);
  });

  it('would be caught', () => {
    const text = `css\`p { gap: 0.4rem; font-size: 11px; margin: 0 auto; padding: calc(1px + var(--space-1)); width: 2rem; left: calc(100% - 3px); --x-height: 4em; height: 0px; grid-template-columns: 5ch 1fr minmax(0, 9px); } /* gap: 1px; */\``;
    expect(offences('x.ts', text)).toEqual([
      'x.ts: gap: 0.4rem',
      'x.ts: font-size: 11px',
      'x.ts: padding: calc(1px + var(--space-1))',
      'x.ts: width: 2rem',
      'x.ts: left: calc(100% - 3px)',
      'x.ts: --x-height: 4em',
      'x.ts: grid-template-columns: 5ch 1fr minmax(0, 9px)',
    ]);
  });
});

describe('tokens.css', () => {
  const tokens = readFileSync(join(root, 'src/components/tokens.css'), 'utf8');
  const rems = (kind: string) =>
    [...tokens.matchAll(new RegExp(`--${kind}-[\\w]+: ([\\d.]+)rem`, 'g'))].map(([, value]) => Number(value));

  it('has scales that rise', () => {
    for (const scale of ['space', 'text', 'mark', 'row', 'pane'].map(rems)) {
      expect(scale.length).toBeGreaterThanOrEqual(5);
      expect(scale).toEqual([...scale].sort((a, b) => a - b));
    }
  });

  it('has no type below 12 px at the smallest root size', () => {
    const sizes = [...tokens.matchAll(/html\s*\{\s*font-size: (\d+)px/g)].map(([, px]) => Number(px));
    expect(sizes.length).toBeGreaterThan(0);
    expect(Math.min(...rems('text')) * Math.min(...sizes)).toBeGreaterThanOrEqual(SMALLEST_PX);
  });
});
