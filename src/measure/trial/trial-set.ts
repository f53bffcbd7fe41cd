/** What a blind trial asks to be rendered, and what is made of the rendered sounds. No more than the page must know. */
import type { Lufs } from '../../dsp/loudness.ts';
import type { Decibels } from '../../dsp/units.ts';
import type { Planes } from '../../render/rack-renderer.ts';
import type { Rack, RackId, SessionDocument } from '../../session/document.ts';

/** Why a blind trial can't be made of these sounds; the message is a sentence that says what to do. */
export class TrialError extends Error {
  override readonly name = 'TrialError';
}

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

export interface RenderedSound {
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

export interface RenderedSounds {
  readonly sounds: readonly RenderedSound[];
  /** Of the clean mix over the loop. */
  readonly loudnessLufs: Lufs;
  /** At most 0; for all sounds alike, not yet in the planes: it keeps the loudest below the ceiling. */
  readonly attenuationDb: Decibels;
  /** False where an overdriven sound isn't plainly another one than its setting: such trials catch nobody. */
  readonly canCatch: boolean;
}

/** A share of the sounds: the `index`-th of so many, in the order of `listed`. */
export interface TrialPart {
  readonly index: number;
  readonly of: number;
}

export interface RenderedPart {
  readonly sounds: readonly RenderedSound[];
  readonly loudnessLufs: Lufs;
}

/** No sound of a trial peaks higher. */
export const TRIAL_CEILING_DBTP: Decibels = -1;
/** Two sounds that nowhere differ by more are the same one: −120 dBFS. */
const SAME = 1e-6;
/** An overdriven sound differs at least this much from its setting, power below the setting's own. */
const PLAIN: Decibels = -40;
/** How many sounds there will be. */
export function soundCount({ settings, overdriven: wanted }: TrialRequest): number {
  return settings.length + wanted.length;
}

/**
 * All parts, in their order.
 * @throws TrialError where two sounds that must differ are the same
 */
export function together(request: TrialRequest, parts: readonly RenderedPart[]): RenderedSounds {
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

function checkDifferent(
  one: string,
  other: string,
  sounds: readonly RenderedSound[],
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

function isPlain(wild: RenderedSound, sounds: readonly RenderedSound[]): boolean {
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
