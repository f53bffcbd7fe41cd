import type { RackId } from '../../session/document.ts';

/** Which rows are selected, the one that is shown always among them. */
export interface Selection {
  readonly ids: ReadonlySet<RackId>;
  /** Where a range begins. */
  readonly anchor: RackId;
}

export function only(id: RackId): Selection {
  return { ids: new Set([id]), anchor: id };
}

/** The rows from the anchor to `to`, both included, in a list of all rows. */
export function rangeTo({ anchor }: Selection, to: RackId, rows: readonly RackId[]): Selection {
  const from = rows.indexOf(anchor);
  const end = rows.indexOf(to);
  if (from < 0 || end < 0) return only(to);
  return { ids: new Set(rows.slice(Math.min(from, end), Math.max(from, end) + 1)), anchor };
}

/** One row more, or one less; the last one stays. */
export function toggled({ ids }: Selection, id: RackId): Selection {
  const now = new Set(ids);
  if (!now.delete(id)) now.add(id);
  return now.size === 0 ? only(id) : { ids: now, anchor: id };
}

/** Without rows that are gone; another shown row, chosen elsewhere, is a selection of its own. */
export function kept(selection: Selection, shown: RackId, rows: readonly RackId[]): Selection {
  if (!selection.ids.has(shown)) return only(shown);
  const ids = new Set(rows.filter((id) => selection.ids.has(id)));
  if (ids.size === selection.ids.size) return selection;
  return { ids, anchor: ids.has(selection.anchor) ? selection.anchor : shown };
}
