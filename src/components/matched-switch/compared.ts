import { CLEAN, CURRENT, findScene, type SessionDocument } from '../../session/document.ts';
import { rackName } from '../rack-sheet/rack-facts.ts';

/** What the switch compares, in words. */
export interface Compared {
  /** Side A: "Clean" or the scene's name. */
  readonly a: string;
  /** Side B: the scene's name, "Coloured" against clean, or "As it is now" against a scene. */
  readonly b: string;
  /** What the third position lets through: "Added" against clean; against a scene it is a difference both ways. */
  readonly third: 'Added' | 'Difference';
  /** Null for all racks. */
  readonly scope: string | null;
  /** Clean against the racks as they stand, all of them. */
  readonly plain: boolean;
}

export function compared(document: SessionDocument): Compared {
  const { sides, scope } = document;
  const name = (side: string, own: string, ownName: string) =>
    side === own ? ownName : (findScene(document, side)?.name ?? ownName);
  return {
    a: name(sides.a, CLEAN, 'Clean'),
    b: name(sides.b, CURRENT, sides.a === CLEAN ? 'Coloured' : 'As it is now'),
    third: sides.a === CLEAN ? 'Added' : 'Difference',
    scope: scope.kind === 'all' ? null : scopeName(scope.kind, rackName(document, scope.rackId)),
    plain: sides.a === CLEAN && sides.b === CURRENT && scope.kind === 'all',
  };
}

export interface SideWords {
  readonly a: string;
  readonly b: string;
  /** What B has beyond A. */
  readonly third: 'added' | 'difference';
}

/**
 * The two sides as legends and headings call them: "clean" and "coloured" only where that is what stands there. Where
 * the switch moves some racks only, side A says which; all others are on both sides as on side B.
 */
export function sideWords(document: SessionDocument | undefined): SideWords {
  if (!document) return { a: 'clean', b: 'coloured', third: 'added' };
  const { sides, scope } = document;
  const { a, b, third: name } = compared(document);
  const third = name === 'Added' ? 'added' : 'difference';
  const first = sides.a === CLEAN ? 'clean' : a;
  const second = sides.b !== CURRENT ? b : sides.a === CLEAN ? 'coloured' : 'now';
  if (scope.kind === 'all') return { a: first, b: second, third };
  const rack = rackName(document, scope.rackId);
  return { a: `${scope.kind === 'only' ? rack : `all but ${rack}`}: ${first}`, b: second, third };
}

export function scopeName(kind: 'only' | 'all-but', rack: string): string {
  return kind === 'only' ? `${rack} only` : `All but ${rack}`;
}
