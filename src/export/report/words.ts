/** Figures as they are printed in a report. */

/** A true minus sign, never "−0.0"; a dash for what isn't defined. */
export function figure(value: number | null | undefined, digits = 1, signed = false): string {
  if (value === null || value === undefined || !Number.isFinite(value)) return '–';
  const text = Math.abs(value).toFixed(digits);
  if (Number(text) === 0) return text;
  return `${value < 0 ? '−' : signed ? '+' : ''}${text}`;
}

/** With its unit; a lone dash where there is none. */
export function withUnit(value: number | null | undefined, unit: string, digits = 1, signed = false): string {
  const text = figure(value, digits, signed);
  return text === '–' ? text : `${text} ${unit}`;
}

/** "63 Hz", "1.25 kHz". */
export function hertz(hz: number): string {
  return hz < 1000 ? `${Number(hz.toPrecision(4))} Hz` : `${Number((hz / 1000).toPrecision(4))} kHz`;
}

/** "C", "L 40", "R 25", with a space that doesn't break. */
export function panText(pan: number): string {
  return pan === 0 ? 'C' : `${pan < 0 ? 'L' : 'R'}\u00a0${Math.abs(pan)}`;
}

/** Any text as text in HTML, in content and in attributes. */
export function escapeHtml(text: string): string {
  const entities: Record<string, string> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' };
  // Control characters have no place in HTML at all.
  return text.replace(/[&<>"']/g, (sign) => entities[sign]).replace(/[^\P{Cc}\n\t]/gu, ' ');
}

/** Text in which Markdown finds no markup, in one line. */
export function escapeMarkdown(text: string): string {
  return text
    .replace(/[\\`*_{}[\]()#+!|<>~&$-]/g, (sign) =>
      sign === '<' ? '&lt;' : sign === '>' ? '&gt;' : sign === '&' ? '&amp;' : `\\${sign}`,
    )
    .replace(/[\p{Cc}\s]+/gu, ' ')
    .trim();
}
