import type { StageKind } from './stage-kind.ts';

/** The kinds an engine was given, by their ids. */
export class StageKinds {
  private readonly byId: ReadonlyMap<string, StageKind>;

  constructor(readonly all: readonly StageKind[]) {
    this.byId = new Map(all.map((kind) => [kind.id, kind]));
  }

  /** The kind of that id; null for one that isn't there. */
  find(id: string): StageKind | null {
    return this.byId.get(id) ?? null;
  }
}
