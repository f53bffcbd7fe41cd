/** The scales of `tokens.css`, enforced: styles take space, type and corners from them. */
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
  'base/plot.styles.ts: padding: 0 var(--space-5) var(--space-6) 3rem': 'as wide as the plot’s axis',
  'take-home-sheet/take-home-sheet.styles.ts: margin: var(--space-5) 0 var(--space-6) 2.4rem':
    'as wide as the axis of the bars',
};

const DECLARATION =
  /(?<![\w-])(font-size|gap|row-gap|column-gap|padding(?:-[a-z]+)*|margin(?:-[a-z]+)*|border-radius):\s*([^;{}]+);/g;

function allowed(property: string, value: string): boolean {
  if (property === 'font-size') return /^(var\(--text-(small|body|lead|title|display)\)|inherit)$/.test(value);
  if (property === 'border-radius') return /^(0|var\(--radius(-round)?\)|inherit)$/.test(value);
  // No length of its own, inside calc() neither.
  return !/[\d.](rem|em|px|pt|ch|ex|vw|vh)\b/.test(value);
}

function declarations(text: string): { property: string; value: string }[] {
  const styles = [...text.matchAll(/css`((?:[^`\\]|\\.)*)`/g)].map(([, body]) => body).join('\n');
  return [...styles.replace(/\/\*[\s\S]*?\*\//g, '').matchAll(DECLARATION)].map(([, property, value]) => ({
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

  it('take space, type and corners from the scales', () => {
    expect(files.flatMap(({ text }) => declarations(text)).length).toBeGreaterThan(500);
    expect(found.filter((one) => !(one in EXCEPTIONS))).toEqual([]);
  });

  it('have no exception that is no more', () => {
    expect(Object.keys(EXCEPTIONS).filter((one) => !found.includes(one))).toEqual([]);
  });

  it('name no token that isn’t there', () => {
    const tokens = readFileSync(join(root, 'src/components/tokens.css'), 'utf8');
    const named = files.flatMap(({ text }) => text.match(/--(space|text|radius|target)(-\w+)?\b/g) ?? []);
    const lost = [...new Set(named)].filter((name) => !tokens.includes(`${name}:`));
    expect(lost).toEqual([]);
  });

  it('would be caught', () => {
    const text = `css\`p { gap: 0.4rem; font-size: 11px; margin: 0 auto; padding: calc(1px + var(--space-1)); } /* gap: 1px; */\``;
    expect(offences('x.ts', text)).toEqual([
      'x.ts: gap: 0.4rem',
      'x.ts: font-size: 11px',
      'x.ts: padding: calc(1px + var(--space-1))',
    ]);
  });
});

describe('tokens.css', () => {
  const tokens = readFileSync(join(root, 'src/components/tokens.css'), 'utf8');
  const rems = (kind: string) =>
    [...tokens.matchAll(new RegExp(`--${kind}-[\\w]+: ([\\d.]+)rem`, 'g'))].map(([, value]) => Number(value));

  it('has scales that rise', () => {
    for (const scale of [rems('space'), rems('text')]) {
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
