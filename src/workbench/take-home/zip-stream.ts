import { makeZip } from 'client-zip';
import type { ExportOutcome, TakeHomePiece } from '../../workers/take-home/protocol.ts';

/** An export in the order `one-by-one` as the bytes of one ZIP, made as they are asked for. */
export function zipStream(
  pieces: AsyncGenerator<TakeHomePiece, ExportOutcome>,
  lastModified: Date,
  onDone: (outcome: ExportOutcome) => void,
): ReadableStream<Uint8Array> {
  return makeZip(entries(pieces, lastModified, onDone));
}

async function* entries(
  pieces: AsyncGenerator<TakeHomePiece, ExportOutcome>,
  lastModified: Date,
  onDone: (outcome: ExportOutcome) => void,
) {
  for (;;) {
    const { done, value } = await pieces.next();
    if (done) return onDone(value);
    yield { name: value.name, lastModified, input: oneFile(value, pieces) };
  }
}

/** From a file's first piece to its last one. */
async function* oneFile(
  first: TakeHomePiece,
  pieces: AsyncGenerator<TakeHomePiece, ExportOutcome>,
): AsyncGenerator<Uint8Array<ArrayBuffer>, void> {
  let piece = first;
  for (;;) {
    if (piece.bytes.length > 0) yield piece.bytes;
    if (piece.last) return;
    const { done, value } = await pieces.next();
    if (done) throw new Error(`The export ended within ${piece.name}`);
    piece = value;
  }
}
