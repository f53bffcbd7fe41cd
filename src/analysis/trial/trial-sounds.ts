/** The sounds of a blind trial: a session's loop in several settings, each matched to the clean mix by itself. */
import type { Lufs } from '../../dsp/loudness.ts';
import { blockEnergies, gatedLoudness } from '../../dsp/loudness.ts';
import { TruePeakMeter } from '../../dsp/true-peak.ts';
import type { Decibels } from '../../dsp/units.ts';
import { dbToGain } from '../../dsp/units.ts';
import type { Rack, RackId, SessionDocument } from '../../session/document.ts';
import { MIX_ID } from '../../session/document.ts';
import { exactMatch, matchReference } from '../match.ts';
import type { Planes } from '../rack-renderer.ts';
import { SessionAnalysis } from '../session-analysis.ts';
import { scaled } from '../session-graph.ts';
import { overdriven } from './overdriven.ts';
import { TrialError } from './trial-error.ts';
import type { LoopFrames } from './trial-loop.ts';
import { loopFrames, rolledOut } from './trial-loop.ts';

export interface TrialSetting {
  readonly id: string;
  /** For sentences. */
  readonly name: string;
  readonly racks: Readonly<Record<RackId, Rack>>;
}

/** Plain data. */
export interface TrialRequest {
  /** The session as it plays, mutes worked in (`exportSides`); its own racks are what an overdriven clean sound takes. */
  readonly document: SessionDocument;
  /** The loop of each channel (`loopOf`) at the session's rate, all equally long. */
  readonly loops: ReadonlyMap<string, Planes>;
  readonly settings: readonly TrialSetting[];
  /** Ids of settings that have to sound different from one another. */
  readonly different: readonly (readonly [string, string])[];
  /** Ids of settings that are rendered overdriven too. */
  readonly overdriven: readonly string[];
  /** Room that a catch trial needs above the loudest sound. */
  readonly headroomDb: Decibels;
}

export interface TrialSound {
  readonly id: string;
  readonly overdriven: boolean;
  /** Left and right, one loop long, matched. */
  readonly planes: readonly Float32Array[];
  /** The last gain; it is in the planes. */
  readonly matchGainDb: Decibels;
  /** Its loudness less the clean mix's, measured on the matched planes. */
  readonly residualLu: number;
  /** Of the loop as it repeats. */
  readonly truePeakDbtp: Decibels;
}

export interface TrialSounds {
  readonly sounds: readonly TrialSound[];
  /** Of the clean mix over the loop. */
  readonly loudnessLufs: Lufs;
  /** At most 0; for all sounds alike, not yet in the planes: it keeps the loudest below the ceiling. */
  readonly attenuationDb: Decibels;
  /** False where an overdriven sound isn't plainly another one than its setting: such trials catch nobody. */
  readonly canCatch: boolean;
}

/** No sound of a trial peaks higher. */
export const TRIAL_CEILING_DBTP: Decibels = -1;
/** A sound that is off by more isn't matched, LU: half of what two of them may be apart. */
const LARGEST_RESIDUAL_LU = 0.05;
const LEAST_LOUDNESS: Lufs = -60;
/** Two sounds that nowhere differ by more are the same one: −120 dBFS. */
const SAME = 1e-6;
/** An overdriven sound differs at least this much from its setting, power below the setting's own. */
const PLAIN: Decibels = -40;
/** The true-peak filter reaches over the seam by less than this, frames. */
const SEAM = 64;

/** A share of the sounds: the `index`-th of so many, in the order of `listed`. */
export interface TrialPart {
  readonly index: number;
  readonly of: number;
}

/**
 * Renders and matches every setting over the loop, on sound that has gone round before, so that the loop has no seam.
 * Racks are matched to their inputs whether the session matches or not; a last gain brings each sound's BS.1770-5
 * integrated loudness of the loop to that of the clean mix. Yields about every 10 ms.
 * @throws TrialError with a sentence where the loop is too short, too long or silent, where sounds are the same, or
 * where one can't be matched within 0.05 LU, so that any two are within 0.1 LU
 */
export function* trialSounds(
  request: TrialRequest,
  onProgress: (share: number) => void = () => undefined,
): Generator<void, TrialSounds> {
  return together(request, [yield* someSounds(request, { index: 0, of: 1 }, onProgress)]);
}

export interface RenderedPart {
  readonly sounds: readonly TrialSound[];
  readonly loudnessLufs: Lufs;
}

/** How many sounds there will be. */
export function soundCount({ settings, overdriven: wanted }: TrialRequest): number {
  return settings.length + wanted.length;
}

/** One part of the sounds; where and with which others one is rendered makes no difference to its bits. */
export function* someSounds(
  request: TrialRequest,
  { index, of }: TrialPart,
  onProgress: (share: number) => void,
): Generator<void, RenderedPart> {
  const { loops } = request;
  const document = { ...request.document, matching: true, matchRegion: null };
  const frames = loopFrames(Math.max(0, ...[...loops.values()].map(([plane]) => plane.length)), document.sampleRate);
  const analysis = new SessionAnalysis(document.sampleRate, document.alignmentDbfs);
  for (const { id } of document.channels) {
    const loop = loops.get(id);
    if (loop) analysis.setSource(id, rolledOut(loop, frames));
  }
  const all = listed(request);
  const own = all.slice(Math.round((index * all.length) / of), Math.round(((index + 1) * all.length) / of));
  const bench = new Bench(analysis, document, frames);
  const sounds: TrialSound[] = [];
  for (const setting of own) {
    sounds.push(yield* bench.sound(setting));
    onProgress(sounds.length / own.length);
    yield;
  }
  return { sounds, loudnessLufs: bench.loudness };
}

/**
 * All parts, in their order.
 * @throws TrialError where two sounds that must differ are the same
 */
export function together(request: TrialRequest, parts: readonly RenderedPart[]): TrialSounds {
  const sounds = parts.flatMap((part) => part.sounds);
  for (const [one, other] of request.different) checkDifferent(one, other, sounds, request.settings);
  const loudest = Math.max(...sounds.map(({ truePeakDbtp }) => truePeakDbtp));
  return {
    sounds,
    loudnessLufs: parts[0].loudnessLufs,
    attenuationDb: Math.min(0, TRIAL_CEILING_DBTP - request.headroomDb - loudest),
    canCatch: sounds.filter((sound) => sound.overdriven).every((sound) => isPlain(sound, sounds)),
  };
}

interface Listed extends TrialSetting {
  readonly overdriven: boolean;
}

/** Overdriven ones come after all others: in either group one setting differs little from the one before it. */
function listed({ settings, document, overdriven: wanted }: TrialRequest): Listed[] {
  const plain = settings.map((setting) => ({ ...setting, overdriven: false }));
  if (wanted.length === 0) return plain;
  const strips = [...document.channels, ...document.buses].map(({ id, rack }) => [id, rack] as const);
  const now = Object.fromEntries([...strips, [MIX_ID, document.mix.rack] as const]);
  const others = [now, ...settings.map(({ racks }) => racks)];
  const wild = settings
    .filter(({ id }) => wanted.includes(id))
    .map((setting) => ({
      ...setting,
      racks: overdriven(setting.racks, others),
      overdriven: true,
    }));
  return [...plain, ...wild];
}

/** Renders one setting after the other against the same clean mix. */
class Bench {
  private reference: ReturnType<typeof matchReference> | null = null;

  constructor(
    private readonly analysis: SessionAnalysis,
    private readonly document: SessionDocument,
    private readonly frames: LoopFrames,
  ) {}

  get loudness(): Lufs {
    return this.reference?.loudness ?? -Infinity;
  }

  *sound({ id, name, racks, overdriven }: Listed): Generator<void, TrialSound> {
    const { sampleRate } = this.document;
    const mixes = yield* this.analysis.mixes(this.document, racks);
    if (!mixes) throw new TrialError(SILENT);
    const reference = this.referenceOf(mixes.clean);
    yield;
    const loop = this.loopOf(mixes.mix);
    const match = exactMatch(reference, loop, sampleRate);
    if (!match) throw new TrialError(`"${name}" is silent in this loop. Choose another stretch or another sound.`);
    yield;
    const planes = scaled(loop, dbToGain(match.gainDb));
    const residualLu = gatedLoudness(blockEnergies(planes, sampleRate)) - reference.loudness;
    if (!(Math.abs(residualLu) <= LARGEST_RESIDUAL_LU)) {
      throw new TrialError(
        `"${name}" can't be brought to the loudness of the clean mix in this loop. Choose another stretch.`,
      );
    }
    yield;
    return {
      id,
      overdriven,
      planes,
      matchGainDb: match.gainDb,
      residualLu,
      truePeakDbtp: loopPeak(planes, sampleRate),
    };
  }

  private referenceOf(clean: Planes): ReturnType<typeof matchReference> {
    this.reference ??= matchReference(this.loopOf(clean), this.document.sampleRate);
    if (!(this.reference.loudness >= LEAST_LOUDNESS)) throw new TrialError(SILENT);
    return this.reference;
  }

  private loopOf(planes: Planes): Planes {
    const { before, loop } = this.frames;
    return planes.map((plane) => plane.slice(before, before + loop));
  }
}

const SILENT = 'There is no sound in this loop, or too little to match. Choose a stretch in which the session plays.';

/** True peak of a loop that goes round, dBTP; what lies across its seam counts too. */
function loopPeak(planes: Planes, sampleRate: number): Decibels {
  const meter = new TruePeakMeter(sampleRate, planes.length);
  const { length } = planes[0];
  meter.process(planes, length - SEAM, length);
  meter.clearPeaks();
  meter.process(planes);
  meter.process(planes, 0, SEAM);
  return meter.dbtp;
}

function checkDifferent(
  one: string,
  other: string,
  sounds: readonly TrialSound[],
  settings: readonly TrialSetting[],
): void {
  const planesOf = (id: string) => sounds.find((sound) => sound.id === id && !sound.overdriven)?.planes ?? [];
  if (largestDifference(planesOf(one), planesOf(other)) > SAME) return;
  const nameOf = (id: string) => settings.find((setting) => setting.id === id)?.name ?? id;
  throw new TrialError(
    `Both sides are the same sound: "${nameOf(one)}" and "${nameOf(other)}" do not differ in this loop. Choose two that differ.`,
  );
}

function largestDifference(a: Planes, b: Planes): number {
  let largest = 0;
  for (const [side, plane] of a.entries()) {
    for (let i = 0; i < plane.length; i++) largest = Math.max(largest, Math.abs(plane[i] - b[side][i]));
  }
  return largest;
}

function isPlain(wild: TrialSound, sounds: readonly TrialSound[]): boolean {
  const plain = sounds.find(({ id, overdriven: isWild }) => id === wild.id && !isWild);
  if (!plain) return false;
  let difference = 0;
  let power = 0;
  for (const [side, plane] of plain.planes.entries()) {
    for (let i = 0; i < plane.length; i++) {
      difference += (plane[i] - wild.planes[side][i]) ** 2;
      power += plane[i] ** 2;
    }
  }
  return 10 * Math.log10(difference / power) > PLAIN;
}
