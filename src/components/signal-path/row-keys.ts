import type { RackId } from '../../session/document.ts';
import { rangeTo, type Selection, toggled } from './selection.ts';

/** What a key press in the list means: another row to go to, and the selection that comes of it. */
export interface RowMove {
  readonly to: RackId;
  /** Null leaves the selection: only the focus goes. */
  readonly selection: Selection | null;
}

/**
 * The arrows, Home and End choose a row; with Shift the selection grows from where it began, with Ctrl only the focus
 * goes, and Ctrl with Space takes the row in or out. Ctrl with A selects all rows of the focused row's kind.
 *
 * @param at the focused row
 * @param kind of a row
 * @returns null where the key means nothing here
 */
export function rowMove(
  { key, ctrlKey, metaKey, shiftKey }: Pick<KeyboardEvent, 'key' | 'ctrlKey' | 'metaKey' | 'shiftKey'>,
  at: RackId,
  rows: readonly RackId[],
  selection: Selection,
  { sideways, kind }: { sideways: boolean; kind: (id: RackId) => string },
): RowMove | null {
  const command = ctrlKey || metaKey;
  if (command && key.toLowerCase() === 'a') {
    return { to: at, selection: { ids: new Set(rows.filter((id) => kind(id) === kind(at))), anchor: at } };
  }
  if (command && key === ' ') return { to: at, selection: toggled(selection, at) };
  const index = target(key, rows.indexOf(at), rows.length - 1, sideways);
  const to = index === null ? undefined : rows[index];
  if (to === undefined) return null;
  if (shiftKey) return { to, selection: rangeTo(selection, to, rows) };
  return { to, selection: command ? null : { ids: new Set([to]), anchor: to } };
}

/** Where an arrow, Home or End leads from a place in a list. */
export function target(key: string, at: number, last: number, sideways: boolean): number | null {
  if (key === 'ArrowDown' || (sideways && key === 'ArrowRight')) return Math.min(last, at + 1);
  if (key === 'ArrowUp' || (sideways && key === 'ArrowLeft')) return Math.max(0, at - 1);
  if (key === 'Home') return 0;
  return key === 'End' ? last : null;
}
