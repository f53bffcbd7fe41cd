import type { TakeHomePiece } from './protocol.ts';

/** Bytes of a file that are sent at once. */
const PIECE_BYTES = 1 << 20;
/** Pieces under way that the page hasn't taken yet. */
const MOST_UNDER_WAY = 4;

interface Gathered {
  parts: Uint8Array<ArrayBuffer>[];
  bytes: number;
}

/**
 * Sends the bytes of files in pieces of about a megabyte, and waits while too many of them aren't taken: a slow disk
 * holds up the render instead of filling the memory.
 */
export class ByteSender {
  private readonly gathered = new Map<string, Gathered>();
  private underWay = 0;
  private release: (() => void) | null = null;

  constructor(private readonly post: (piece: TakeHomePiece, transfer: ArrayBufferLike[]) => void) {}

  /** Appends bytes to a file. They may be sent later; `flush` sends what is left. */
  async append(name: string, bytes: Uint8Array<ArrayBuffer>): Promise<void> {
    const held = this.gathered.get(name) ?? { parts: [], bytes: 0 };
    this.gathered.set(name, held);
    held.parts.push(bytes);
    held.bytes += bytes.length;
    if (held.bytes >= PIECE_BYTES) await this.send({ name, bytes: this.take(name) });
  }

  /** Writes over earlier bytes of a file. */
  async patch(name: string, bytes: Uint8Array<ArrayBuffer>, at: number): Promise<void> {
    await this.flush(name, false);
    await this.send({ name, bytes: bytes.slice(), at });
  }

  /** Sends what is left of a file. @param last true where nothing of it comes after this */
  async flush(name: string, last: boolean): Promise<void> {
    const bytes = this.take(name);
    if (bytes.length > 0 || last) await this.send({ name, bytes, ...(last ? { last } : {}) });
  }

  /** The page has taken a piece. */
  taken(): void {
    this.underWay--;
    this.release?.();
    this.release = null;
  }

  private async send(piece: TakeHomePiece): Promise<void> {
    this.underWay++;
    this.post(piece, [piece.bytes.buffer]);
    while (this.underWay >= MOST_UNDER_WAY) {
      await new Promise<void>((resolve) => {
        this.release = resolve;
      });
    }
  }

  private take(name: string): Uint8Array<ArrayBuffer> {
    const held = this.gathered.get(name);
    this.gathered.delete(name);
    if (!held) return new Uint8Array(0);
    // Always a copy: an encoder's bytes may lie in a buffer that it keeps.
    const bytes = new Uint8Array(held.bytes);
    let at = 0;
    for (const part of held.parts) {
      bytes.set(part, at);
      at += part.length;
    }
    return bytes;
  }
}
