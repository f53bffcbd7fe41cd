import { CLEAN, CURRENT, findScene, type SessionDocument } from '../../session/document.ts';
import { rackName } from '../rack-sheet/rack-facts.ts';

/** What the switch compares, in words. */
export interface Compared {
  /** Side A: "Clean" or the scene's name. */
  readonly a: string;
  /** Side B: "Coloured" or the scene's name. */
  readonly b: string;
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
    b: name(sides.b, CURRENT, 'Coloured'),
    scope: scope.kind === 'all' ? null : scopeName(scope.kind, rackName(document, scope.rackId)),
    plain: sides.a === CLEAN && sides.b === CURRENT && scope.kind === 'all',
  };
}

export function scopeName(kind: 'only' | 'all-but', rack: string): string {
  return kind === 'only' ? `${rack} only` : `All but ${rack}`;
}
