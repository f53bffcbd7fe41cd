/** The session document for all who read it: its types, its constructors, and how to find one's way in it. */
import type { Bus, Channel, Rack, SessionDocument, Stage } from './schema.ts';
import { CLEAN, CURRENT, VERSION } from './schema.ts';

export { DRIVE, drivenStage, driveOf } from './drive.ts';
export { isOnASide } from './effective.ts';
export { LIMITS } from './limits.ts';
export { findRack, findScene, findStrip, linkOf, MIX_ID, rackIds } from './lookup.ts';
export { parseSession } from './parse.ts';
export type {
  AudioReference,
  Bext,
  Bus,
  Channel,
  DriveLink,
  KeptTrial,
  LinkMember,
  Rack,
  RackId,
  Region,
  Scene,
  Scope,
  SessionDocument,
  Stage,
} from './schema.ts';
export { CLEAN, CURRENT, VERSION } from './schema.ts';
export { SessionError } from './session-error.ts';

/** An empty rack. */
export function emptyRack(): Rack {
  return { on: true, stages: [], matchGainDb: null, matchTrimDb: 0, notes: '' };
}

/** A stage that is on, with the given parameters. */
export function newStage(id: string, kind: string, params: Stage['params'] = {}): Stage {
  return { id, kind, on: true, params, notes: '' };
}

/** A channel at unity gain in the middle, with an empty rack, straight to the mix. */
export function newChannel(id: string, name: string, settings: Partial<Channel> = {}): Channel {
  const plain = { audio: null, busId: null, gainDb: 0, pan: 0, mute: false, solo: false, rack: emptyRack() };
  return { id, name, ...plain, ...settings };
}

/** A bus at unity gain with an empty rack. */
export function newBus(id: string, name: string, settings: Partial<Bus> = {}): Bus {
  return { id, name, gainDb: 0, mute: false, solo: false, rack: emptyRack(), ...settings };
}

/** A session without channels at the given rate. */
export function emptySession(sampleRate: number, title = 'New session'): SessionDocument {
  return {
    format: 'level-best-session',
    version: VERSION,
    name: title,
    notes: '',
    sampleRate,
    alignmentDbfs: -18,
    channels: [],
    buses: [],
    mix: { rack: emptyRack(), outputMatchDb: null },
    soloThroughBuses: false,
    scenes: [],
    sides: { a: CLEAN, b: CURRENT },
    scope: { kind: 'all' },
    allDrivesDb: 0,
    links: [],
    matchRegion: null,
    loop: null,
    matching: true,
    exportOversampling: 4,
    trials: [],
  };
}
