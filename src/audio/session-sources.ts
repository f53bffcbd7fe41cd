import type { Planes } from '../render/rack-renderer.ts';
import type { SessionDocument } from '../session/document.ts';
import type { IAudioBuffer, IAudioBufferSourceNode, IAudioContext } from './audio-library.ts';
import type { EngineHost } from './engine-host.ts';

export interface SourceTimes {
  /** On the context's clock, seconds. */
  readonly when: number;
  /** In the session, seconds. */
  readonly at: number;
  readonly loop: readonly [number, number];
  readonly duration: number;
}

/** The channels' sound and the sources that play it, all started at one time so that they stay sample-synchronous. */
export class SessionSources {
  private running: IAudioBufferSourceNode<IAudioContext>[] = [];
  private readonly buffers = new Map<string, IAudioBuffer>();
  private planes: ReadonlyMap<string, Planes> = new Map();

  get isEmpty(): boolean {
    return this.planes.size === 0;
  }

  /** Of the longest channel. */
  get frames(): number {
    let frames = 0;
    for (const planes of this.planes.values()) frames = Math.max(frames, planes[0].length);
    return frames;
  }

  /** @returns whether any of it is another sound than before */
  take(planes: ReadonlyMap<string, Planes>): boolean {
    const before = this.planes;
    this.planes = new Map(planes);
    return planes.size !== before.size || [...planes].some(([id, sound]) => before.get(id) !== sound);
  }

  /** Stops what runs at that time and starts all channels there. */
  start({ context, node }: EngineHost, { channels, sampleRate }: SessionDocument, times: SourceTimes): void {
    const { when, at, loop, duration } = times;
    this.stop(when);
    this.running = channels.flatMap((channel, input) => {
      const buffer = this.bufferOf(channel.id, context, Math.round(duration * sampleRate), sampleRate);
      if (!buffer) return [];
      const source = context.createBufferSource();
      source.buffer = buffer;
      source.loop = true;
      [source.loopStart, source.loopEnd] = loop;
      source.connect(node, 0, input);
      source.start(when, at);
      return [source];
    });
  }

  stop(when: number): void {
    for (const source of this.running) {
      source.stop(when);
      source.onended = () => source.disconnect();
    }
    this.running = [];
  }

  /** Buffers are made anew at the next start. */
  forget(): void {
    this.buffers.clear();
  }

  /** The context is gone, and what played in it. */
  drop(): void {
    this.running = [];
    this.forget();
  }

  /** A channel's sound as long as the session, so that all loop together. */
  private bufferOf(
    channelId: string,
    context: IAudioContext,
    length: number,
    sampleRate: number,
  ): IAudioBuffer | undefined {
    const planes = this.planes.get(channelId);
    if (!planes) return undefined;
    let buffer = this.buffers.get(channelId);
    if (!buffer || buffer.length !== length) {
      buffer = context.createBuffer(planes.length, length, sampleRate);
      for (const [index, plane] of planes.entries()) buffer.copyToChannel(plane as Float32Array<ArrayBuffer>, index);
      this.buffers.set(channelId, buffer);
    }
    return buffer;
  }
}
