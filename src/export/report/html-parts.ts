/** Tables and notes of the report's page. */
import { escapeHtml as text } from './words.ts';

/** @param numbers columns that are aligned to the right */
export function table(
  head: readonly string[],
  rows: readonly (readonly string[])[],
  numbers: readonly number[] = [],
): string {
  const side = (column: number, cell: string) =>
    numbers.includes(column) ? ' class="n"' : /\S{25}/.test(cell) ? ' class="long"' : '';
  const top =
    head.length > 0
      ? `<thead><tr>${head.map((cell, i) => `<th scope="col"${side(i, cell)}>${text(cell)}</th>`).join('')}</tr></thead>`
      : '';
  const body = rows
    .map(
      (row) =>
        `<tr>${row.map((cell, i) => (i === 0 ? `<th scope="row"${side(0, cell)}>${text(cell)}</th>` : `<td${side(i, cell)}>${text(cell)}</td>`)).join('')}</tr>`,
    )
    .join('');
  return `<table>${top}<tbody>${body}</tbody></table>`;
}

/** A table whose every column but the first is of numbers. */
export function numberTable(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const numbers = Array.from({ length: head.length - 1 }, (_, i) => i + 1);
  return table(head, rows, numbers);
}

export function notes(words: string): string {
  return words.trim() === '' ? '' : `<p class="notes">${text(words)}</p>`;
}
