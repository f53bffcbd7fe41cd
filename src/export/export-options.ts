/** What an export is asked for. */
import type { BroadcastInfo } from '../files/audio-data.ts';
import type { Planes } from '../render/rack-renderer.ts';
import type { FaderPoint } from '../render/tap-stream.ts';
import type { ExportSides } from './export-document.ts';

export type ExportFormat = 'wav' | 'flac';
export type ExportBits = 16 | 24 | 'float';
/** What becomes of mixes that pass full scale in whole numbers: both lowered alike, or each limited by itself. */
export type ExportOvers = 'lower' | 'limit';

export interface ExportOptions {
  /** Matched, with the gains that are heard. */
  readonly sides: ExportSides;
  /** Each channel's sound at the session's rate, by its id; a channel without is silent. */
  readonly sources: ReadonlyMap<string, Planes>;
  readonly factor: 4 | 8;
  readonly format: ExportFormat;
  /** Floats are for WAV only. */
  readonly bits: ExportBits;
  /** `lower` by default; floats are kept as they are. */
  readonly overs?: ExportOvers;
  /** Both mixes; the default. */
  readonly pair?: boolean;
  /** Every channel and every bus by itself: prints. */
  readonly stems?: boolean;
  /** Where prints are taken; before the fader by default, so that they drop back in under faders that stay. */
  readonly fader?: FaderPoint;
  /** Of both mixes; 2 by default. */
  readonly mixChannels?: 1 | 2;
  /** Lets what the filters still hold ring out behind the last source; the default. */
  readonly tail?: boolean;
  /** More of the sources' broadcast extensions than the session keeps, by channel id. */
  readonly bext?: ReadonlyMap<string, BroadcastInfo>;
  /** Program and version, for the coding history. */
  readonly program: string;
  /** When the files are written; left out, they state no date. */
  readonly now?: Date;
}
