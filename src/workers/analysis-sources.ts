import { matchRegionFrames, type SoundExtent } from '../measure/match-region.ts';
import type { Planes } from '../render/rack-renderer.ts';
import type { SessionDocument } from '../session/document.ts';
import type { AnalysisProtocol } from './analysis-protocol.ts';

interface Sent {
  readonly sound: Planes;
  readonly start: number;
  readonly end: number;
}

/**
 * What the analysis worker has of each channel's sound: all of it, or the match region alone where memory wouldn't hold
 * a whole session twice.
 */
export class AnalysisSources {
  extent: SoundExtent = { frames: 0, planes: 0 };
  private readonly sent = new Map<string, Sent>();

  constructor(private readonly send: (source: AnalysisProtocol['notes']['source']) => void) {}

  get isEmpty(): boolean {
    return this.sent.size === 0;
  }

  clear(): void {
    this.sent.clear();
  }

  /** Sends what the worker hasn't got, and takes away what it needs no more. */
  follow(document: SessionDocument, sounds: ReadonlyMap<string, Planes>): void {
    const all = [...sounds.values()];
    this.extent = {
      frames: all.reduce((most, [plane]) => Math.max(most, plane.length), 0),
      planes: all.reduce((sum, planes) => sum + planes.length, 0),
    };
    for (const channelId of this.sent.keys()) {
      if (sounds.has(channelId)) continue;
      this.sent.delete(channelId);
      this.send({ channelId, planes: null });
    }
    const [from, to] = matchRegionFrames(document, this.extent);
    // Short sessions go over whole, so that a moved region sends nothing.
    const isLong = this.extent.frames > to - from && this.extent.frames > LONG_SECONDS * document.sampleRate;
    for (const [channelId, sound] of sounds) {
      const { length } = sound[0];
      const start = isLong ? Math.min(from, length) : 0;
      const end = isLong ? Math.min(to, length) : length;
      const known = this.sent.get(channelId);
      if (known?.sound === sound && known.start <= start && known.end >= end) continue;
      // A part is copied first: a view would take its whole buffer over.
      const planes = end - start < length ? sound.map((plane) => plane.slice(start, end)) : sound;
      this.send({ channelId, planes, stretch: { start, frames: length } });
      this.sent.set(channelId, { sound, start, end });
    }
  }
}

/** Up to this length all of a session goes over. */
const LONG_SECONDS = 60;
