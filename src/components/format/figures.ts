import { html, nothing, type TemplateResult } from 'lit';

/** Stands where a figure isn't defined. */
export const NO_FIGURE = '–';

export interface FigureFormat {
  readonly digits: number;
  /** A plus sign in front of positive figures: for changes and gains. */
  readonly signed?: boolean;
  readonly unit?: string;
}

/** A number as it is printed: a true minus sign, never "−0.0", an en dash for what isn't defined. */
export function figure(value: number | null | undefined, { digits, signed = false, unit }: FigureFormat): string {
  if (value === null || value === undefined || !Number.isFinite(value)) return NO_FIGURE;
  const magnitude = Math.abs(value).toFixed(digits);
  const sign = Number(magnitude) === 0 ? '' : value < 0 ? '−' : signed ? '+' : '';
  return `${sign}${magnitude}${unit ? ` ${unit}` : ''}`;
}

/** The same as part of a page; where there is no figure the dash says why, to the pointer and to a screen reader. */
export function figureText(value: number | null | undefined, format: FigureFormat, why: string): TemplateResult {
  const text = figure(value, format);
  return html`<span class="figure" title=${text === NO_FIGURE ? why : nothing}
    >${text}${text === NO_FIGURE ? html`<span class="hidden"> ${why}</span>` : nothing}</span
  >`;
}

/** The difference of two figures; null unless both are defined. */
export function change(from: number | null | undefined, to: number | null | undefined): number | null {
  return typeof from === 'number' && typeof to === 'number' ? to - from : null;
}

/** Seconds as minutes and seconds, with tenths: "0:12.4". */
export function clock(seconds: number, digits = 1): string {
  const scale = 10 ** digits;
  const total = Math.max(0, Math.round(seconds * scale) / scale);
  const minutes = Math.floor(total / 60);
  return `${minutes}:${(total - 60 * minutes).toFixed(digits).padStart(digits > 0 ? 3 + digits : 2, '0')}`;
}

/** A frequency as it stands on an axis: "25", "800", "1.25 k", "16 k". */
export function hertz(frequency: number): string {
  return frequency >= 1000 ? `${Number((frequency / 1000).toPrecision(3))} k` : `${Number(frequency.toPrecision(3))}`;
}
