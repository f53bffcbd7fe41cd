/** What the broadcast extension of an exported file says (EBU Tech 3285). */
import type { BroadcastInfo } from '../files/audio-data.ts';
import type { Channel, SessionDocument } from '../session/document.ts';
import type { ExportOptions } from './export-plan.ts';

type Extensions = ReadonlyMap<string, BroadcastInfo> | undefined;

/**
 * A channel's own place in time and description, kept from its source. The time reference counts samples, so it is
 * brought to the session's rate.
 */
export function stripBext(
  { sampleRate }: SessionDocument,
  { id, name, audio }: Channel,
  known: Extensions,
): BroadcastInfo {
  const source: BroadcastInfo | undefined = known?.get(id) ?? audio?.bext;
  const scale = audio ? sampleRate / audio.sampleRate : 1;
  return {
    description: source?.description || name,
    ...(source?.originatorReference ? { originatorReference: source.originatorReference } : {}),
    ...(source?.timeReference === undefined ? {} : { timeReference: Math.round(source.timeReference * scale) }),
  };
}

/** Where a mix or a bus lies in time: where all its sources say that they lie, if they agree. */
export function commonReference(document: SessionDocument, known: Extensions): BroadcastInfo {
  const references = new Set(document.channels.map((channel) => stripBext(document, channel, known).timeReference));
  const [only] = references;
  return references.size === 1 && only !== undefined ? { timeReference: only } : {};
}

/** One line by EBU R 98: coding, rate, word length, mode, and what was done. */
export function codingHistory(
  { bits, factor, program }: Pick<ExportOptions, 'bits' | 'factor' | 'program'>,
  sampleRate: number,
  what: string,
): string {
  const words = bits === '32f' ? 'W=32' : `W=${bits}`;
  // Commas part the fields, so none may stand in the text.
  const text = `${program}; ${factor}x; ${what}`.replaceAll(',', ';');
  return `A=PCM,F=${sampleRate},${words},M=stereo,T=${text}\r\n`;
}
