/** Ranges of what a user sets in the document itself, and how much a session can hold. */
export const LIMITS = {
  gainDb: [-120, 60],
  matchTrimDb: [-12, 12],
  /** Moves all drives together, dB. */
  allDrivesDb: [-24, 24],
  /** Level of the sine that counts as the operating level, dBFS. */
  alignmentDbfs: [-30, -6],
  pan: [-100, 100],
  /** Characters. */
  name: 200,
  /** Characters of a source's coding history; of a longer one the oldest lines go. */
  codingHistory: 16_384,
  /** Characters of one note. */
  notes: 10_000,
  stages: 8,
  /** Of one stage; no kind has half as many. */
  parameters: 100,
  /** The engine's own limits; a test compares them, since the session doesn't know the engine. */
  channels: 32,
  buses: 8,
  scenes: 64,
  links: 64,
  /** Loop of a blind trial, s: shorter ones tire, longer ones are forgotten before they come round. */
  trialLoopSeconds: [8, 15],
  /** Blind trials that can be kept. */
  trials: 200,
  /** Characters of one trial's record as JSON, and of all together. */
  trialRecord: 1_000_000,
  trialRecords: 10_000_000,
} as const;
