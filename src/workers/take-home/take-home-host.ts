import type { Planes } from '../../render/rack-renderer.ts';
import type { ByteSender } from './byte-sender.ts';
import type { TakeHomeStep } from './protocol.ts';

/** What a job works with. */
export interface TakeHomeHost {
  /** Each channel's sound at the session's rate, by its id; a channel without is silent. */
  readonly sources: ReadonlyMap<string, Planes>;
  progress(step: TakeHomeStep, share: number | null): void;
}

/** The same, of a job that makes files. */
export interface ExportHost extends TakeHomeHost {
  readonly bytes: ByteSender;
}
