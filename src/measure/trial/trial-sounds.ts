/** The sounds of a blind trial: a session's loop in several settings, each matched to the clean mix by itself. */
import type { Lufs } from '../../dsp/loudness.ts';
import { blockEnergies, gatedLoudness } from '../../dsp/loudness.ts';
import { TruePeakMeter } from '../../dsp/true-peak.ts';
import type { Decibels } from '../../dsp/units.ts';
import { dbToGain } from '../../dsp/units.ts';
import { graphSettle } from '../../engine/settling.ts';
import { rackConfig } from '../../render/engine-config.ts';
import { scaled } from '../../render/planes.ts';
import type { Planes } from '../../render/rack-renderer.ts';
import type { Rack, SessionDocument } from '../../session/document.ts';
import { MIX_ID } from '../../session/document.ts';
import { exactMatch, matchReference } from '../match.ts';
import { SessionAnalysis } from '../session-analysis.ts';
import { overdriven } from './overdriven.ts';
import type { LoopFrames } from './trial-loop.ts';
import { loopFrames, rolledOut } from './trial-loop.ts';
import type { RenderedPart, RenderedSound, TrialPart, TrialRequest, TrialSetting } from './trial-set.ts';
import { TrialError } from './trial-set.ts';

/** A sound that is off by more isn't matched, LU: half of what two of them may be apart. */
const LARGEST_RESIDUAL_LU = 0.05;
const LEAST_LOUDNESS: Lufs = -60;
/** The true-peak filter reaches over the seam by less than this, frames. */
const SEAM = 64;

/**
 * Renders and matches one part of a trial's sounds (`together` joins them) over the loop, on sound that has gone round
 * before, so that the loop has no seam. Racks are matched to their inputs whether the session matches or not; a last
 * gain brings each sound's BS.1770-5 integrated loudness of the loop to that of the clean mix. Where and with which
 * others a sound is rendered makes no difference to its bits. Yields about every 10 ms.
 * @throws TrialError with a sentence where the loop is too short, too long or silent, or where a sound can't be matched
 * within 0.05 LU, so that any two are within 0.1 LU
 */
export function* someSounds(
  request: TrialRequest,
  { index, of }: TrialPart,
  onProgress: (share: number) => void,
): Generator<void, RenderedPart> {
  const { loops } = request;
  const document = { ...request.document, matching: true, matchRegion: null };
  const length = Math.max(0, ...[...loops.values()].map(([plane]) => plane.length));
  const settle = Math.max(0, ...request.settings.map(({ racks }) => settleOf(document, racks)));
  const frames = loopFrames(length, document.sampleRate, settle);
  const analysis = new SessionAnalysis(document.sampleRate, document.alignmentDbfs);
  for (const { id } of document.channels) {
    const loop = loops.get(id);
    if (loop) analysis.setSource(id, rolledOut(loop, frames));
  }
  const all = listed(request);
  const own = all.slice(Math.round((index * all.length) / of), Math.round(((index + 1) * all.length) / of));
  const renderer = new SettingRenderer(analysis, document, frames);
  const sounds: RenderedSound[] = [];
  for (const setting of own) {
    sounds.push(yield* renderer.sound(setting));
    onProgress(sounds.length / own.length);
    yield;
  }
  return { sounds, loudnessLufs: renderer.loudness };
}

/** What the circuits on the longest way through these racks need to settle, seconds. */
function settleOf({ channels, buses, mix }: SessionDocument, racks: TrialSetting['racks']): number {
  const strip = ({ id, rack }: { readonly id: string; readonly rack: Rack }) => ({
    rack: rackConfig(racks[id] ?? rack, false),
  });
  return graphSettle({
    channels: channels.map((channel) => ({ ...strip(channel), bus: -1, gain: 1, pan: 0 })),
    buses: buses.map((bus) => ({ ...strip(bus), gain: 1 })),
    mix: strip({ id: MIX_ID, rack: mix.rack }).rack,
  });
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
class SettingRenderer {
  private reference: ReturnType<typeof matchReference> | null = null;

  constructor(
    private readonly analysis: SessionAnalysis,
    private readonly document: SessionDocument,
    private readonly frames: LoopFrames,
  ) {}

  get loudness(): Lufs {
    return this.reference?.loudness ?? -Infinity;
  }

  *sound({ id, name, racks, overdriven }: Listed): Generator<void, RenderedSound> {
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
