/**
 * A value on its way from one setting to another along a raised cosine, whose spectrum falls fast enough that a jump
 * of a control doesn't splatter. Positions are in frames.
 */
export class Ramp {
  private from: number;
  private to: number;
  private position: number;
  private length = 1;

  constructor(value: number) {
    this.from = value;
    this.to = value;
    this.position = 1;
  }

  get target(): number {
    return this.to;
  }

  get moving(): boolean {
    return this.position < this.length;
  }

  /** The value `frames` from now. */
  at(frames: number): number {
    const position = this.position + frames;
    if (position >= this.length) return this.to;
    return this.from + (this.to - this.from) * raisedCosine(position / this.length);
  }

  /** Starts towards `target`, over `length` frames, from where the value is. */
  start(target: number, length: number): void {
    if (target === this.to) return;
    this.from = this.at(0);
    this.to = target;
    this.position = 0;
    this.length = length;
  }

  /** Takes the value at once. */
  jump(value: number): void {
    this.from = value;
    this.to = value;
    this.position = this.length;
  }

  advance(frames: number): void {
    this.position = Math.min(this.length, this.position + frames);
  }
}

/** From 0 to 1 as t goes from 0 to 1, with no slope at either end. */
export function raisedCosine(t: number): number {
  return 0.5 - 0.5 * Math.cos(Math.PI * Math.min(1, Math.max(0, t)));
}
