import * as v from 'valibot';

/**
 * The session document: everything the engineer made, and nothing that can be computed from it again except the
 * match gains, which are stored so that an export years later uses what was heard.
 */

/** Ranges of what a user sets in the document itself. */
export const LIMITS = {
  gainDb: [-120, 60],
  matchTrimDb: [-12, 12],
  pan: [-100, 100],
  /** Characters. */
  name: 200,
  stages: 8,
} as const;

const within = ([min, max]: readonly [number, number]) => v.pipe(v.number(), v.minValue(min), v.maxValue(max));
const id = v.pipe(v.string(), v.minLength(1), v.maxLength(64));
const name = v.pipe(v.string(), v.maxLength(LIMITS.name));
const decibels = within(LIMITS.gainDb);
const region = v.pipe(
  v.object({ startSeconds: v.pipe(v.number(), v.minValue(0)), endSeconds: v.pipe(v.number(), v.minValue(0)) }),
  v.check(({ startSeconds, endSeconds }) => endSeconds > startSeconds, 'A region must end after it starts.'),
);

export const stageSchema = v.object({
  id,
  /** A stage kind of the engine's catalogue, e.g. "soft-clip". */
  kind: id,
  on: v.boolean(),
  params: v.record(v.string(), v.union([v.number(), v.string()])),
});

export const rackSchema = v.object({
  on: v.boolean(),
  stages: v.pipe(v.array(stageSchema), v.maxLength(LIMITS.stages, `A rack holds at most ${LIMITS.stages} stages.`)),
  /** The gain that brings the rack's output to its input's loudness, dB; null until it was computed. */
  matchGainDb: v.nullable(decibels),
  /** Adjustment of the match by hand, dB, in steps of 0.05. */
  matchTrimDb: within(LIMITS.matchTrimDb),
});

export const audioSchema = v.object({
  /** The file's name as the engineer knows it. */
  file: name,
  /** SHA-256 of the file's bytes in hex, the key it is stored under. */
  sha256: v.pipe(v.string(), v.regex(/^[0-9a-f]{64}$/)),
  sampleRate: v.number(),
  channelCount: v.number(),
  /** Length at the file's own rate. */
  frames: v.number(),
});

export const channelSchema = v.object({
  id,
  name,
  audio: v.nullable(audioSchema),
  /** The bus it plays into; null goes straight to the mix. */
  busId: v.nullable(id),
  gainDb: decibels,
  /** Balance, −100 (left) to 100 (right), per cent. */
  pan: within(LIMITS.pan),
  rack: rackSchema,
});

export const busSchema = v.object({ id, name, gainDb: decibels, rack: rackSchema });

export const sessionSchema = v.object({
  format: v.literal('level-best-session'),
  version: v.literal(1),
  name,
  /** The rate the engine runs at, Hz. */
  sampleRate: v.pipe(v.number(), v.minValue(8000), v.maxValue(192000)),
  /** Level of a sine that counts as the operating level, dBFS peak of the sine (AES17). */
  alignmentDbfs: v.pipe(v.number(), v.minValue(-30), v.maxValue(-6)),
  channels: v.array(channelSchema),
  buses: v.array(busSchema),
  mix: v.object({
    rack: rackSchema,
    /** The last gain, which brings the coloured mix to the clean mix's loudness, dB; null until it was computed. */
    outputMatchDb: v.nullable(decibels),
  }),
  /** Where loudness is matched; null is the whole session. */
  matchRegion: v.nullable(region),
  loop: v.nullable(region),
  matching: v.boolean(),
  /** Over-sampling of an export; listening always uses 4. */
  exportOversampling: v.picklist([4, 8]),
});

export type SessionDocument = v.InferOutput<typeof sessionSchema>;
export type Channel = v.InferOutput<typeof channelSchema>;
export type Bus = v.InferOutput<typeof busSchema>;
export type Rack = v.InferOutput<typeof rackSchema>;
export type Stage = v.InferOutput<typeof stageSchema>;
export type AudioReference = v.InferOutput<typeof audioSchema>;
export type Region = v.InferOutput<typeof region>;

/** Names a rack in commands and figures: a channel's or a bus's id, or "mix". */
export type RackId = string;
export const MIX_ID: RackId = 'mix';

/** An empty rack. */
export function emptyRack(): Rack {
  return { on: true, stages: [], matchGainDb: null, matchTrimDb: 0 };
}

/** A session without channels at the given rate. */
export function emptySession(sampleRate: number, title = 'New session'): SessionDocument {
  return {
    format: 'level-best-session',
    version: 1,
    name: title,
    sampleRate,
    alignmentDbfs: -18,
    channels: [],
    buses: [],
    mix: { rack: emptyRack(), outputMatchDb: null },
    matchRegion: null,
    loop: null,
    matching: true,
    exportOversampling: 4,
  };
}

/** The rack named by `rackId`; undefined when there is none. */
export function findRack(document: SessionDocument, rackId: RackId): Rack | undefined {
  if (rackId === MIX_ID) return document.mix.rack;
  return (document.channels.find((c) => c.id === rackId) ?? document.buses.find((b) => b.id === rackId))?.rack;
}

/** Every rack's id in the order of the signal path: channels, buses, mix. */
export function rackIds(document: SessionDocument): RackId[] {
  return [...document.channels.map((c) => c.id), ...document.buses.map((b) => b.id), MIX_ID];
}

/**
 * Reads a session document from parsed JSON.
 * @throws SessionError with a sentence that says what is wrong and what to do.
 */
export function parseSession(input: unknown): SessionDocument {
  if (typeof input !== 'object' || input === null || (input as { format?: unknown }).format !== 'level-best-session') {
    throw new SessionError('This is not a Level Best session. Open a JSON file that this tool has saved.');
  }
  const version = (input as { version?: unknown }).version;
  if (typeof version === 'number' && version > 1) {
    throw new SessionError(
      `This session is of version ${version}, newer than this tool reads (1). Update Level Best; the file stays as it is.`,
    );
  }
  const result = v.safeParse(sessionSchema, input);
  if (!result.success) {
    const issue = result.issues[0];
    throw new SessionError(
      `The session is damaged at "${v.getDotPath(issue) ?? 'top'}": ${issue.message.replace(/\.?$/, '.')} Mend that entry or open another copy.`,
    );
  }
  const { channels, buses } = result.output;
  const ids = [...channels.map((c) => c.id), ...buses.map((b) => b.id), MIX_ID];
  if (new Set(ids).size !== ids.length) {
    throw new SessionError('Two channels or buses of the session have the same id. Give each its own.');
  }
  for (const rack of [...channels, ...buses, result.output.mix].map((strip) => strip.rack)) {
    if (new Set(rack.stages.map((stage) => stage.id)).size !== rack.stages.length) {
      throw new SessionError('Two stages of one rack have the same id. Give each its own.');
    }
  }
  const lost = channels.find((c) => c.busId !== null && !buses.some((b) => b.id === c.busId));
  if (lost)
    throw new SessionError(`Channel "${lost.name}" plays into a bus that isn't in the session. Correct its busId.`);
  return result.output;
}

/** A session that can't be used; the message is a sentence for the user. */
export class SessionError extends Error {
  override readonly name = 'SessionError';
}
