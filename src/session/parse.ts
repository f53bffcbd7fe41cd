import * as v from 'valibot';
import { isKnownSide, MIX_ID, memberKey, rackIds, stagesIn } from './lookup.ts';
import type { Stored } from './migrations.ts';
import { migrated } from './migrations.ts';
import type { SessionDocument } from './schema.ts';
import { CLEAN, CURRENT, sessionSchema, VERSION } from './schema.ts';
import { SessionError } from './session-error.ts';

/**
 * Reads a session document from parsed JSON; one of an earlier version is brought up to date.
 * @throws SessionError with a sentence that says what is wrong and what to do
 */
export function parseSession(input: unknown): SessionDocument {
  if (typeof input !== 'object' || input === null || (input as Stored).format !== 'level-best-session') {
    throw new SessionError(
      'This is not a Level Best session. Open a JSON or ZIP file that this tool has saved.',
      'foreign',
    );
  }
  const { version } = input as Stored;
  if (typeof version === 'number' && version > VERSION) {
    throw new SessionError(
      `This session is of version ${version}, newer than this tool reads (${VERSION}). Update Level Best; the file stays as it is.`,
      'newer',
    );
  }
  if (isNestedTooDeep(input)) {
    throw new SessionError('The session is damaged: its entries lie too deep in one another. Open another copy of it.');
  }
  const result = v.safeParse(sessionSchema, migrated(input as Stored));
  if (!result.success) {
    const issue = result.issues[0];
    throw new SessionError(
      `The session is damaged at "${v.getDotPath(issue) ?? 'top'}": ${issue.message.replace(/\.?$/, '.')} Mend that entry or open another copy.`,
    );
  }
  const fault = contradiction(result.output);
  if (fault) throw new SessionError(fault);
  return result.output;
}

/** What the schema can't see: entries that name one another. A sentence, or null where all is well. */
function contradiction(document: SessionDocument): string | null {
  const { channels, buses, scenes, links, sides, scope } = document;
  if (!allDiffer([...channels, ...buses, { id: MIX_ID }])) {
    return 'Two channels or buses of the session have the same id. Give each its own.';
  }
  const racks = [...channels, ...buses, document.mix].map(({ rack }) => rack);
  for (const rack of [...racks, ...scenes.flatMap((scene) => Object.values(scene.racks))]) {
    if (!allDiffer(rack.stages)) return 'Two stages of one rack have the same id. Give each its own.';
  }
  const lost = channels.find(({ busId }) => busId !== null && !buses.some(({ id }) => id === busId));
  if (lost) return `Channel "${lost.name}" plays into a bus that isn't in the session. Correct its busId.`;
  if (!allDiffer([{ id: CLEAN }, { id: CURRENT }, ...scenes])) {
    return 'Two scenes of the session have the same id, or one is called as a side is. Give each its own.';
  }
  if (!isKnownSide(document, 'a', sides.a) || !isKnownSide(document, 'b', sides.b)) {
    return `The switch compares a scene that isn't in the session. Correct its sides.`;
  }
  if (scope.kind !== 'all' && !rackIds(document).includes(scope.rackId)) {
    return `The switch's scope is a rack that isn't in the session. Correct its scope.`;
  }
  const members = links.flatMap((link) => link.members.map((member) => ({ id: memberKey(member) })));
  if (!allDiffer(links) || !allDiffer(members)) {
    return 'Two links of the session have the same id or share a drive. Give each its own.';
  }
  if (!allDiffer(document.trials)) return 'Two blind trials of the session have the same id. Give each its own.';
  const there = stagesIn(document);
  if (members.some(({ id }) => !there.has(id))) return `A link names a stage that isn't in the session. Take it out.`;
  return null;
}

function allDiffer(list: readonly { id: string }[]): boolean {
  return new Set(list.map(({ id }) => id)).size === list.length;
}

/** A session with the record of a blind trial in it is ten levels deep; a later version may have some more. */
const DEEPEST = 40;

/**
 * Whether lists and objects lie in one another deeper than any session's do. Whatever walks a document calls itself for
 * each level, and so do `JSON.stringify` and the browser's store: thousands of them end in an overflow of the stack.
 * This one keeps a list of what is yet to be looked at instead, so it can be asked about anything that was parsed.
 */
export function isNestedTooDeep(value: unknown): boolean {
  let level: unknown[] = [value];
  for (let depth = 0; level.length > 0; depth++) {
    if (depth > DEEPEST) return true;
    const next: unknown[] = [];
    for (const one of level) {
      if (typeof one !== 'object' || one === null) continue;
      for (const inner of Object.values(one)) if (typeof inner === 'object' && inner !== null) next.push(inner);
    }
    level = next;
  }
  return false;
}
