import { rackSettle } from '../engine/settling.ts';
import { rackConfig } from '../render/engine-config.ts';
import type { RackRenderer } from '../render/rack-renderer.ts';
import type { Rack } from '../session/document.ts';
import type { MatchFigures } from './figures.ts';
import { spanLead, spanMatch } from './match.ts';
import type { RackEntry } from './rack-entry.ts';

/**
 * The loudest seconds are bent more by a move than the whole. On ten seconds of piano, guitar and tabla, moved by up to
 * 12 dB of drive, the gain was off by at most 0.27 of its own move, beyond what it was off by before.
 */
const SPAN_ERROR_SHARE = 0.35;

/**
 * The gain of one rack right after a move, from the loudest three seconds of its last known input; null where that is
 * silent. `errorLu` is how far the span was off the whole when both were known, and a share of how far the gain has
 * moved since.
 */
export function* provisionalMatch(
  entry: RackEntry,
  rack: Rack,
  quick: RackRenderer,
): Generator<void, MatchFigures | null> {
  const { planes, span, sampleRate } = entry.input;
  const config = rackConfig(rack, false);
  const lead = spanLead(span[0], sampleRate, rackSettle(config));
  const heard = planes.map((plane) => plane.subarray(span[0] - lead, span[1]));
  const output = yield* quick.render(config, heard);
  const gain = spanMatch(heard, output, [lead, heard[0].length], sampleRate);
  if (gain === null) return null;
  const gainDb = gain + entry.spanOffsetDb;
  const move = Math.abs(gainDb - (entry.match?.gainDb ?? gainDb));
  return {
    gainDb,
    residualLu: 0,
    matched: true,
    quality: 'provisional',
    errorLu: Math.abs(entry.spanOffsetDb) + SPAN_ERROR_SHARE * move,
    spreadLowLu: null,
    spreadHighLu: null,
  };
}
