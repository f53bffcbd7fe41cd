/** The sums of a session's graph while a pass goes through it, and what goes into them. */

import { silence } from './planes.ts';
import type { Planes } from './rack-renderer.ts';

/** Sums by the position, in the plan of the graph, of the strip they go into. */
export class Sums {
  private readonly sums = new Map<number, Sum>();

  constructor(private readonly frames: number) {}

  at(position: number): Sum {
    let sum = this.sums.get(position);
    if (!sum) {
      sum = new Sum(this.frames);
      this.sums.set(position, sum);
    }
    return sum;
  }
}

/** What is planned is only added up when somebody asks for the planes: a mix whose key is known costs nothing. */
export class Sum {
  /** Tells what went into it. */
  key = '';
  private known: Float32Array[] | null = null;
  private additions: ((planes: Float32Array[]) => void)[] = [];

  constructor(private readonly frames: number) {}

  plan(key: string, add: (planes: Float32Array[]) => void): void {
    this.key += key;
    this.additions.push(add);
  }

  get planes(): Float32Array[] {
    this.known ??= silence(this.frames);
    for (const add of this.additions) add(this.known);
    this.additions = [];
    return this.known;
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
