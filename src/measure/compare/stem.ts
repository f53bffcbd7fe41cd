import type { Planes } from '../../render/rack-renderer.ts';

/** A channel's sound and how it stands in the clean mix. */
export interface Stem {
  readonly name: string;
  /** One or two planes from the session's first frame on. */
  readonly planes: Planes;
  /** Gain to the mix's left and right: fader, balance and bus. */
  readonly gains: readonly [left: number, right: number];
  /** It, or its bus, is muted: its gains are those that it would have. */
  readonly muted: boolean;
}
