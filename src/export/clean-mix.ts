import { sessionConfig } from '../render/engine-config.ts';
import { silence } from '../render/planes.ts';
import type { Planes } from '../render/rack-renderer.ts';
import { sessionFrames } from '../render/session-render.ts';
import { CHUNK_FRAMES, TapStream } from '../render/tap-stream.ts';
import type { SessionDocument } from '../session/document.ts';
import { exportSides } from './export-document.ts';

/**
 * The clean mix as planes, as long as the longest source: what an import check compares. Mute counts, solo doesn't.
 * Yields now and then.
 * @param sources each channel's sound at the session's rate, by its id
 */
export function* cleanMix(
  document: SessionDocument,
  sources: ReadonlyMap<string, Planes>,
): Generator<void, Float32Array[]> {
  const playing = exportSides(document).b;
  const { sampleRate, alignmentDbfs } = document;
  const clean = sessionConfig(playing).a;
  const length = sessionFrames(playing, sources);
  const stream = new TapStream({
    sampleRate,
    factor: 4,
    alignmentDbfs,
    a: clean,
    b: clean,
    inputs: playing.channels.map(({ id }) => sources.get(id) ?? []),
    taps: [{ side: 'a', place: 'mix', index: 0 }],
  });
  const out = silence(length);
  for (let at = 0; at < length; at += CHUNK_FRAMES) {
    const count = Math.min(CHUNK_FRAMES, length - at);
    const [planes] = stream.read(count);
    for (const [side, plane] of out.entries()) plane.set(planes[side].subarray(0, count), at);
    yield;
  }
  return out;
}
