import type { ContinuousParameter } from '../../engine/parameters.ts';

/**
 * Reads what an engineer types into a field: "-3", "−3.5 dB", "2,2 kΩ", "1.2k" for hertz, or the word that stands at
 * an end of the range ("off", "hard"), or the letter of a half: "L40", "40 R". Returns null when it isn't a number. The range is checked by the caller.
 */
export function parseValue(text: string, declaration: ContinuousParameter): number | null {
  const typed = text.trim().replace(/[−–]/g, '-').replace(',', '.').toLowerCase();
  if (declaration.atMin !== undefined && typed === declaration.atMin.toLowerCase()) return declaration.min;
  if (declaration.atMax !== undefined && typed === declaration.atMax.toLowerCase()) return declaration.max;
  const half = halfOf(typed, declaration);
  if (half) {
    const value = parseValue(half.rest, { ...declaration, signs: undefined });
    return value === null || value < 0 ? null : half.sign * value + 0;
  }
  const match = /^([+-]?(?:\d+\.?\d*|\.\d+))\s*(.*)$/.exec(typed);
  if (!match) return null;
  const [, digits, suffix] = match;
  const unit = declaration.unit.toLowerCase();
  if (suffix === '' || suffix === unit) return Number(digits);
  if (unit === 'hz' && (suffix === 'k' || suffix === 'khz')) return 1000 * Number(digits);
  if (unit === 'kω' && suffix === 'k') return Number(digits);
  return null;
}

/** A letter before or behind the figure says on which side of 0 it stands. */
function halfOf(typed: string, { signs }: ContinuousParameter): { sign: 1 | -1; rest: string } | null {
  for (const [i, letter] of (signs ?? []).map((sign) => sign.toLowerCase()).entries()) {
    const sign = i === 0 ? -1 : 1;
    if (typed.startsWith(letter)) return { sign, rest: typed.slice(letter.length) };
    if (typed.endsWith(letter)) return { sign, rest: typed.slice(0, -letter.length) };
  }
  return null;
}

/** A figure to type over: no unit, but as many digits as the value has. */
export function typable(value: number): string {
  return String(Number(value.toPrecision(6))).replace('-', '−');
}
