import { instantiateKernels } from '../engine/kernels.ts';
import { MAX_FRAMES } from '../engine/rack-processor.ts';
import { SESSION_LATENCY, SessionEngine } from '../engine/session-engine.ts';
import type { SessionDocument } from '../session/document.ts';
import { sessionConfig } from './engine-config.ts';
import { silence } from './planes.ts';
import type { Planes } from './rack-renderer.ts';

/** Both sides of the switch over the whole session, stereo, aligned to the sample with each other and with the sources. */
export interface RenderedSides {
  readonly clean: Float32Array[];
  readonly coloured: Float32Array[];
}

export interface RenderOptions {
  /** Over-sampling of every rack. */
  readonly factor: 4 | 8;
  /** Told the share that is done, 0 to 1. */
  readonly onProgress?: (share: number) => void;
}

/** Frames rendered between two chances to stop. */
const SLICE = 256 * MAX_FRAMES;

/** Length of a session in frames: that of its longest channel. */
export function sessionFrames(document: SessionDocument, sources: ReadonlyMap<string, Planes>): number {
  return document.channels.reduce((most, { id }) => Math.max(most, sources.get(id)?.[0].length ?? 0), 0);
}

/**
 * Renders a session by the engine that is listened to, with the match gains that the document holds. What the sides
 * give is taken before the switch and without the output guard. The engine's latency is taken out, and it runs on for
 * as long after the end, so both sides have the session's length and end with what the filters still hold.
 *
 * @param sources each channel's sound at the session's rate, one or two planes; a channel without is silent
 * @throws Error where the host has no WebAssembly SIMD
 */
export function* renderSession(
  document: SessionDocument,
  sources: ReadonlyMap<string, Planes>,
  { factor, onProgress }: RenderOptions,
): Generator<void, RenderedSides> {
  const engine = new SessionEngine(instantiateKernels(), {
    sampleRate: document.sampleRate,
    factor,
    alignmentDbfs: document.alignmentDbfs,
    maxChannels: document.channels.length,
    maxBuses: document.buses.length,
  });
  engine.reset(sessionConfig(document));
  const inputs = document.channels.map(({ id }) => sources.get(id) ?? []);
  const length = sessionFrames(document, sources);
  const total = length > 0 ? length + SESSION_LATENCY : 0;
  const clean = silence(total);
  const coloured = silence(total);
  // The engine's own output (the side that is listened to) isn't wanted; side A overwrites it.
  for (let at = 0; at < total; at += SLICE) {
    engine.process(inputs, clean, Math.min(SLICE, total - at), at, clean, coloured);
    onProgress?.(Math.min(1, (at + SLICE) / total));
    yield;
  }
  const withoutLatency = (planes: Float32Array[]) => planes.map((plane) => plane.subarray(SESSION_LATENCY));
  return { clean: withoutLatency(clean), coloured: withoutLatency(coloured) };
}
