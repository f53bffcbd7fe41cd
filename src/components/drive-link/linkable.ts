import { findStageKind } from '../../engine/stages/catalogue.ts';
import {
  type DriveLink,
  findRack,
  type LinkMember,
  linkOf,
  type RackId,
  rackIds,
  type SessionDocument,
} from '../../session/document.ts';
import { rackName } from '../rack-sheet/rack-facts.ts';

/** The parameter that links move. */
const DRIVE = 'drive';

/** A stage whose drive can be linked. */
export interface Linkable extends LinkMember {
  readonly rack: string;
  /** Its place in the rack and its kind: "2 Diode pair". */
  readonly stage: string;
  readonly driveDb: number;
  readonly link: DriveLink | undefined;
}

/** Every drive of the session, rack by rack; the given rack comes first, the others in the order of the signal path. */
export function linkables(document: SessionDocument, firstRackId: RackId): Linkable[] {
  const others = rackIds(document).filter((id) => id !== firstRackId);
  return [firstRackId, ...others].flatMap((rackId) =>
    (findRack(document, rackId)?.stages ?? []).flatMap((stage, index) => {
      const driveDb = stage.params[DRIVE];
      if (typeof driveDb !== 'number') return [];
      const member = { rackId, stageId: stage.id };
      const kind = findStageKind(stage.kind)?.label ?? stage.kind;
      return [
        {
          ...member,
          rack: rackName(document, rackId),
          stage: `${index + 1} ${kind}`,
          driveDb,
          link: linkOf(document, member),
        },
      ];
    }),
  );
}

/** Those that move with this drive now. */
export function partners(document: SessionDocument, member: LinkMember): Linkable[] {
  const link = linkOf(document, member);
  if (!link) return [];
  return linkables(document, member.rackId).filter((one) => one.link === link && !isSame(one, member));
}

export function isSame(a: LinkMember, b: LinkMember): boolean {
  return a.rackId === b.rackId && a.stageId === b.stageId;
}

/** Partners by rack, as short as they can be said: "Reeds bus, Mix 1 + 2". */
export function partnerWords(list: readonly Linkable[]): string {
  const racks = new Map<RackId, { name: string; numbers: string[] }>();
  for (const { rackId, rack, stage } of list) {
    const known = racks.get(rackId) ?? { name: rack, numbers: [] };
    known.numbers.push(stage.split(' ', 1)[0]);
    racks.set(rackId, known);
  }
  return [...racks.values()].map(({ name, numbers }) => `${name} ${numbers.join(' + ')}`).join(', ');
}
