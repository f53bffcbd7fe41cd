import type { Planes } from '../render/rack-renderer.ts';
import type { Amplitudes } from './amplitudes.ts';
import { amplitudes } from './amplitudes.ts';
import type { MatchFigures, SideFigures } from './figures.ts';
import type { MatchReference } from './match.ts';
import { loudestSpan, matchBetween, spanMatch } from './match.ts';
import { sideFigures } from './side-figures.ts';

/** A rack's input over the match region. What needs another pass over it is computed when it is asked for, once. */
export class RackInput {
  private known: SideFigures | null = null;
  private loudest: readonly [number, number] | null = null;

  constructor(
    /** Tells inputs apart. */
    readonly key: string,
    readonly planes: Planes,
    readonly reference: MatchReference,
    readonly sampleRate: number,
  ) {}

  get figures(): SideFigures {
    this.known ??= sideFigures(this.planes, this.sampleRate, 0, this.reference.loudness);
    return this.known;
  }

  /** Frames of the loudest three seconds, where a provisional match listens. */
  get span(): readonly [number, number] {
    this.loudest ??= loudestSpan(this.reference.energies, this.sampleRate, this.planes[0].length);
    return this.loudest;
  }
}

/** One rack over the match region, kept until its input or its settings change. */
export class RackEntry {
  readonly match: MatchFigures | null;
  private known: SideFigures | null = null;
  private offsetDb: number | null = null;
  private counted: Amplitudes | null = null;

  constructor(
    readonly input: RackInput,
    readonly configKey: string,
    /** Before the match gain; the input's own planes where the rack is empty. */
    readonly output: Planes,
    private readonly after: MatchReference,
  ) {
    this.match = matchBetween(input.reference, after);
  }

  get figures(): SideFigures {
    if (this.output === this.input.planes) return this.input.figures;
    this.known ??= sideFigures(this.output, this.input.sampleRate, 0, this.after.loudness);
    return this.known;
  }

  /** What one more stage at the end of the rack would get. */
  get amplitudes(): Amplitudes {
    this.counted ??= amplitudes(this.output);
    return this.counted;
  }

  /** Exact gain less the one from the loudest span alone, dB. */
  get spanOffsetDb(): number {
    if (this.offsetDb === null) {
      const { planes, span, sampleRate } = this.input;
      const spanDb = spanMatch(planes, this.output, span, sampleRate);
      this.offsetDb = spanDb === null ? 0 : (this.match?.gainDb ?? 0) - spanDb;
    }
    return this.offsetDb;
  }
}
