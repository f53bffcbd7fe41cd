import { html, svg, type TemplateResult } from 'lit';

/** Our own line drawings, 16 by 16, in the text's colour. Always beside or instead of a name that is there in words. */
const icon = (content: TemplateResult): TemplateResult =>
  html`<svg viewBox="0 0 16 16" aria-hidden="true" fill="none" stroke="currentColor" stroke-width="1.5" stroke-linecap="round" stroke-linejoin="round">${content}</svg>`;

export const icons = {
  play: icon(svg`<path d="M4.5 2.8v10.4L13 8z" fill="currentColor" />`),
  stop: icon(svg`<path d="M3.8 3.8h8.4v8.4H3.8z" fill="currentColor" />`),
  earlier: icon(svg`<path d="M9.8 3.5 5.3 8l4.5 4.5" />`),
  later: icon(svg`<path d="M6.2 3.5 10.7 8l-4.5 4.5" />`),
  remove: icon(svg`<path d="m4 4 8 8M12 4l-8 8" />`),
  undo: icon(svg`<path d="M5.5 3 2.8 5.8l2.7 2.7M3 5.8h6.2a3.6 3.6 0 0 1 0 7.2H6.5" />`),
  redo: icon(svg`<path d="m10.5 3 2.7 2.8-2.7 2.7M13 5.8H6.8a3.6 3.6 0 0 0 0 7.2h2.7" />`),
  mute: icon(svg`<path d="M2.5 6v4h2.3L8 13V3L4.800 6zM10.7 6l3.6 4M14.3 6l-3.6 4" />`),
  missing: icon(svg`<path d="M8 2.2 14.6 13.6H1.4zM8 6.4v3.4M8 11.8v.1" />`),
  link: icon(
    svg`<path d="M6.6 9.4l2.8-2.8M7.2 4.8 9 3a2.8 2.8 0 0 1 4 4l-1.8 1.8M8.8 11.2 7 13a2.8 2.8 0 0 1-4-4l1.8-1.8" />`,
  ),
  add: icon(svg`<path d="M8 3v10M3 8h10" />`),
} as const;
