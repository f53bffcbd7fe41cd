import * as v from 'valibot';
import { LIMITS } from './limits.ts';

/**
 * The session document, version 5: everything the engineer made, and nothing that can be computed from it again except
 * the match gains, which are stored so that an export years later uses what was heard.
 */
export const VERSION = 5;

/** Side A of the switch without any colour: clean is an end point of its own, not a drive of 0 dB. */
export const CLEAN = 'clean';
/** Side B of the switch as the racks stand now. */
export const CURRENT = 'current';

const within = ([min, max]: readonly [number, number]) => v.pipe(v.number(), v.minValue(min), v.maxValue(max));
/** Keys that mean something else to a JavaScript object; a record of racks or parameters must not have them. */
const RESERVED: readonly string[] = ['__proto__', 'prototype', 'constructor'];
export const idSchema = v.pipe(
  v.string(),
  v.minLength(1),
  v.maxLength(64),
  v.check((id) => !RESERVED.includes(id), 'This word is reserved.'),
);
const id = idSchema;
const name = v.pipe(v.string(), v.maxLength(LIMITS.name));
const notes = v.pipe(v.string(), v.maxLength(LIMITS.notes));
const decibels = within(LIMITS.gainDb);
const atMost = (count: number, what: string) => `There are more than ${count} ${what}.`;

/** Of a session: its channels, buses and the mix. */
const MOST_RACKS = LIMITS.channels + LIMITS.buses + 1;

export const regionSchema = v.pipe(
  v.object({ startSeconds: v.pipe(v.number(), v.minValue(0)), endSeconds: v.pipe(v.number(), v.minValue(0)) }),
  v.check(({ startSeconds, endSeconds }) => endSeconds > startSeconds, 'A region must end after it starts.'),
);

export const stageSchema = v.object({
  id,
  /** A stage kind of the engine's catalogue, e.g. "soft-clip". */
  kind: id,
  on: v.boolean(),
  params: v.pipe(
    v.record(id, v.union([v.number(), name])),
    v.maxEntries(LIMITS.parameters, atMost(LIMITS.parameters, 'parameters')),
  ),
  notes,
});

export const rackSchema = v.object({
  on: v.boolean(),
  stages: v.pipe(v.array(stageSchema), v.maxLength(LIMITS.stages, `A rack holds at most ${LIMITS.stages} stages.`)),
  /** The gain that brings the rack's output to its input's loudness, dB; null until it was computed. */
  matchGainDb: v.nullable(decibels),
  /** Adjustment of the match by hand, dB, in steps of 0.05. */
  matchTrimDb: within(LIMITS.matchTrimDb),
  notes,
});

/** What a broadcast WAV says of its place in time and its origin; kept from the source so that its prints say the same. */
export const bextSchema = v.object({
  /** Samples since midnight at the file's own rate. */
  timeReference: v.pipe(v.number(), v.integer(), v.minValue(0), v.maxValue(2 ** 64)),
  description: v.pipe(v.string(), v.maxLength(256)),
  originator: v.optional(v.pipe(v.string(), v.maxLength(32))),
  originatorReference: v.optional(v.pipe(v.string(), v.maxLength(32))),
  date: v.optional(v.pipe(v.string(), v.maxLength(10))),
  time: v.optional(v.pipe(v.string(), v.maxLength(8))),
  /** One line for each step of processing, with its line end. */
  codingHistory: v.optional(v.pipe(v.string(), v.maxLength(LIMITS.codingHistory))),
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
  bext: v.optional(bextSchema),
});

const strip = { id, name, gainDb: decibels, mute: v.boolean(), solo: v.boolean(), rack: rackSchema };

export const channelSchema = v.object({
  ...strip,
  audio: v.nullable(audioSchema),
  /** The bus it plays into; null goes straight to the mix. */
  busId: v.nullable(id),
  /** Balance, −100 (left) to 100 (right), per cent. */
  pan: within(LIMITS.pan),
});

export const busSchema = v.object(strip);

/** A stored setting of all racks. A rack that came to the session later is in no earlier scene. */
export const sceneSchema = v.object({
  id,
  name,
  notes,
  racks: v.pipe(v.record(id, rackSchema), v.maxEntries(MOST_RACKS, atMost(MOST_RACKS, 'racks'))),
  allDrivesDb: within(LIMITS.allDrivesDb),
});

/** Drives that move together: relative by the same dB, absolute to the same value. */
export const linkSchema = v.object({
  id,
  mode: v.picklist(['relative', 'absolute']),
  members: v.pipe(v.array(v.object({ rackId: id, stageId: id })), v.minLength(2, 'A link has at least two drives.')),
});

/** What the switch compares: every rack, one alone, or all but one. Racks outside it are alike on both sides. */
export const scopeSchema = v.variant('kind', [
  v.object({ kind: v.literal('all') }),
  v.object({ kind: v.literal('only'), rackId: id }),
  v.object({ kind: v.literal('all-but'), rackId: id }),
]);

/**
 * A blind trial that was heard. What its record says is read where trials are evaluated; here it is only told from
 * other things, and kept to a size.
 */
export const trialSchema = v.object({
  id,
  record: v.pipe(
    v.looseObject({ format: v.literal('level-best-trials'), version: v.number() }),
    v.check((record) => jsonLength(record) <= LIMITS.trialRecord, 'This record of a blind trial is too long.'),
  ),
});

function jsonLength(value: unknown): number {
  return JSON.stringify(value).length;
}

export const sessionSchema = v.object({
  format: v.literal('level-best-session'),
  version: v.literal(VERSION),
  name,
  notes,
  /** The rate the engine runs at, Hz. */
  sampleRate: v.pipe(v.number(), v.minValue(8000), v.maxValue(192000)),
  /** Level of a sine that counts as the operating level, dBFS peak of the sine (AES17). */
  alignmentDbfs: within(LIMITS.alignmentDbfs),
  channels: v.pipe(v.array(channelSchema), v.maxLength(LIMITS.channels, atMost(LIMITS.channels, 'channels'))),
  buses: v.pipe(v.array(busSchema), v.maxLength(LIMITS.buses, atMost(LIMITS.buses, 'buses'))),
  mix: v.object({
    rack: rackSchema,
    /** The last gain, which brings the coloured mix to the clean mix's loudness, dB; null until it was computed. */
    outputMatchDb: v.nullable(decibels),
  }),
  /** False: solo is heard before the buses and never changes what a bus is driven with. */
  soloThroughBuses: v.boolean(),
  scenes: v.pipe(v.array(sceneSchema), v.maxLength(LIMITS.scenes, atMost(LIMITS.scenes, 'scenes'))),
  /** What stands on the two sides of the switch: A is "clean" or a scene, B is "current" or a scene. */
  sides: v.object({ a: id, b: id }),
  scope: scopeSchema,
  /** Added to every drive, dB. */
  allDrivesDb: within(LIMITS.allDrivesDb),
  links: v.pipe(v.array(linkSchema), v.maxLength(LIMITS.links, atMost(LIMITS.links, 'links'))),
  /** Where loudness is matched; null is the whole session. */
  matchRegion: v.nullable(regionSchema),
  loop: v.nullable(regionSchema),
  matching: v.boolean(),
  /** Over-sampling of an export; listening always uses 4. */
  exportOversampling: v.picklist([4, 8]),
  /** Oldest first. Undo can bring removed ones back beside newer ones, so twice as many are read as are taken in. */
  trials: v.pipe(
    v.array(trialSchema),
    v.maxLength(2 * LIMITS.trials, atMost(2 * LIMITS.trials, 'blind trials')),
    v.check((trials) => jsonLength(trials) <= 2 * LIMITS.trialRecords, 'The records of blind trials are too long.'),
  ),
});

export type SessionDocument = v.InferOutput<typeof sessionSchema>;
export type Channel = v.InferOutput<typeof channelSchema>;
export type Bus = v.InferOutput<typeof busSchema>;
export type Rack = v.InferOutput<typeof rackSchema>;
export type Stage = v.InferOutput<typeof stageSchema>;
export type AudioReference = v.InferOutput<typeof audioSchema>;
export type Bext = v.InferOutput<typeof bextSchema>;
export type Region = v.InferOutput<typeof regionSchema>;
export type Scene = v.InferOutput<typeof sceneSchema>;
export type DriveLink = v.InferOutput<typeof linkSchema>;
export type KeptTrial = v.InferOutput<typeof trialSchema>;
export type LinkMember = DriveLink['members'][number];
export type Scope = v.InferOutput<typeof scopeSchema>;

/** Names a rack in commands and figures: a channel's or a bus's id, or "mix". */
export type RackId = string;
