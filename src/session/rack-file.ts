/** One rack by itself, as a file and as it is kept beside the sessions: a name, what it is for, and its stages. */
import * as v from 'valibot';
import { emptySession, VERSION } from './document.ts';
import { LIMITS } from './limits.ts';
import { parseSession } from './parse.ts';
import type { Stage } from './schema.ts';
import { SessionError } from './session-error.ts';

export interface NamedRack {
  readonly name: string;
  /** One sentence: what it is for. */
  readonly about: string;
  readonly stages: readonly Stage[];
}

const FORMAT = 'level-best-rack';

const headSchema = v.object({
  name: v.pipe(v.string(), v.minLength(1), v.maxLength(LIMITS.name)),
  about: v.optional(v.pipe(v.string(), v.maxLength(LIMITS.notes)), ''),
});

/** True for parsed JSON that says it is a rack, whether or not it is one. */
export function isRackFile(input: unknown): boolean {
  return typeof input === 'object' && input !== null && (input as { format?: unknown }).format === FORMAT;
}

/** What the file holds. Its version is the session's: what stages mean is written down there. */
export function rackFile({ name, about, stages }: NamedRack) {
  return { format: FORMAT, version: VERSION, name, about, stages };
}

/** A rack as JSON that a person can read. */
export function rackJson(rack: NamedRack): string {
  return `${JSON.stringify(rackFile(rack), null, 2)}\n`;
}

/**
 * Reads a rack from parsed JSON; one of an earlier version is brought up to date as the mix of a session would be.
 * @throws SessionError with a sentence that says what is wrong and what to do
 */
export function parseRack(input: unknown): NamedRack {
  if (!isRackFile(input)) throw new SessionError('This is not a rack that Level Best has saved.', 'foreign');
  const { version, stages } = input as Record<string, unknown>;
  const head = v.safeParse(headSchema, input);
  if (!head.success) {
    throw new SessionError('The rack has no name that can be read. Give the file a "name" or open another copy of it.');
  }
  const around = emptySession(48_000);
  const rack = { ...around.mix.rack, stages };
  try {
    const { mix } = parseSession({ ...around, version, mix: { ...around.mix, rack } });
    return { ...head.output, stages: mix.rack.stages };
  } catch (fault) {
    if (!(fault instanceof SessionError)) throw fault;
    throw new SessionError(
      fault.message.replace(/\b(This|The) session\b/, '$1 rack').replace('"mix.rack.', '"'),
      fault.reason,
    );
  }
}
