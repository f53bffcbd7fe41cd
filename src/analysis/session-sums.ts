/** The sums of a session's graph while a pass goes through it, and what goes into them. */
import type { RackId } from '../session/document.ts';
import type { Planes } from './rack-renderer.ts';
import { silence } from './session-graph.ts';

/** Sums by the bus they belong to. What is planned in `add` is only done when `play` asks for it. */
export class Sums {
  private readonly sums = new Map<RackId, Sum>();

  constructor(private readonly frames: number) {}

  of(id: RackId): Sum {
    let sum = this.sums.get(id);
    if (!sum) {
      sum = new Sum(silence(this.frames));
      this.sums.set(id, sum);
    }
    return sum;
  }
}

export class Sum {
  key = '';
  add: (() => void)[] = [];

  constructor(readonly planes: Float32Array[]) {}

  play(): Float32Array[] {
    for (const add of this.add) add();
    this.add = [];
    return this.planes;
  }
}

/** Frames `start` to `end` of every plane, filled up with silence where the source is shorter. */
export function sliced(planes: Planes, start: number, end: number): Planes {
  return planes.map((plane) => slice(plane, start, end));
}

function slice(plane: Float32Array, start: number, end: number): Float32Array {
  if (end <= plane.length) return plane.subarray(start, end);
  const out = new Float32Array(end - start);
  if (start < plane.length) out.set(plane.subarray(start));
  return out;
}
