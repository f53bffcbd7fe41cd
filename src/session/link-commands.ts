import * as v from 'valibot';
import type { Handlers } from './apply.ts';
import { removeById, tidy } from './apply.ts';
import { clampDrive, DRIVE, driveOf } from './drive.ts';
import { LIMITS } from './limits.ts';
import { findStage, linkOf, memberKey } from './lookup.ts';
import type { DriveLink, LinkMember, RackId, SessionDocument } from './schema.ts';
import { idSchema } from './schema.ts';

export type LinkCommand =
  /** Nothing moves yet. A drive that was in another link leaves it. */
  | { type: 'link-drives'; id: string; mode: DriveLink['mode']; members: LinkMember[] }
  | { type: 'set-link-mode'; linkId: string; mode: DriveLink['mode'] }
  | { type: 'unlink-drives'; linkId: string }
  /** Takes one drive out of its link. */
  | { type: 'unlink-drive'; rackId: RackId; stageId: string };

export const linkHandlers: Handlers<LinkCommand> = {
  'link-drives': (draft, { id, mode, members }) => {
    const own = [...new Map(members.map((member) => [memberKey(member), member])).values()].filter(
      ({ rackId, stageId }) => findStage(draft, rackId, stageId),
    );
    if (own.length < 2 || draft.links.some((link) => link.id === id) || !v.is(idSchema, id)) return;
    const room = LIMITS.links - draft.links.filter((link) => outside(link, own).length >= 2).length;
    if (room < 1) return;
    for (const member of own) takeOut(draft, member);
    draft.links.push({ id, mode, members: own.map(({ rackId, stageId }) => ({ rackId, stageId })) });
    tidy(draft);
  },
  'set-link-mode': (draft, { linkId, mode }) => {
    const link = draft.links.find(({ id }) => id === linkId);
    if (link) link.mode = mode;
  },
  'unlink-drives': (draft, { linkId }) => removeById(draft.links, linkId),
  'unlink-drive': (draft, member) => {
    if (!linkOf(draft, member)) return;
    takeOut(draft, member);
    tidy(draft);
  },
};

/**
 * A drive went from `before` to `after`: the others of its link follow, each within its own range. One that is held at
 * an end comes back into its old relation as long as the same drag goes on, since a drag is carried out from its start.
 */
export function moveLinked(draft: SessionDocument, moved: LinkMember, before: unknown, after: unknown): void {
  const link = linkOf(draft, moved);
  if (!link || typeof after !== 'number') return;
  if (link.mode === 'relative' && typeof before !== 'number') return;
  for (const { rackId, stageId } of link.members) {
    if (rackId === moved.rackId && stageId === moved.stageId) continue;
    const stage = findStage(draft, rackId, stageId);
    const drive = stage && driveOf(stage);
    if (!stage || typeof drive !== 'number') continue;
    stage.params[DRIVE.id] = clampDrive(link.mode === 'absolute' ? after : drive + after - Number(before));
  }
}

function takeOut(draft: SessionDocument, { rackId, stageId }: LinkMember): void {
  const link = linkOf(draft, { rackId, stageId });
  if (link) link.members = outside(link, [{ rackId, stageId }]).map((member) => ({ ...member }));
}

function outside(link: DriveLink, taken: readonly LinkMember[]): LinkMember[] {
  const keys = new Set(taken.map(memberKey));
  return link.members.filter((member) => !keys.has(memberKey(member)));
}
