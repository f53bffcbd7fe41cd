/** What the broadcast extension of an exported file says (EBU Tech 3285). */
import type { BroadcastInfo } from '../files/audio-data.ts';
import { newestLines } from '../files/audio-data.ts';
import type { Channel, SessionDocument } from '../session/document.ts';
import { LIMITS } from '../session/document.ts';
import type { ExportOptions } from './export-options.ts';

type Extensions = ReadonlyMap<string, BroadcastInfo> | undefined;

/**
 * A channel's own extension, kept from its source but for the loudness, which is the file's. The time reference counts
 * samples, so it is brought to the session's rate.
 */
export function stripBext({ sampleRate }: SessionDocument, { id, audio }: Channel, known: Extensions): BroadcastInfo {
  const { loudness: _, ...source }: BroadcastInfo = known?.get(id) ?? audio?.bext ?? {};
  const scale = audio ? sampleRate / audio.sampleRate : 1;
  return {
    ...source,
    ...(source.timeReference === undefined ? {} : { timeReference: Math.round(source.timeReference * scale) }),
  };
}

/**
 * What a mix or a bus takes over from its sources: all of a single one's extension, else the place in time and the
 * history that all of them state alike.
 */
export function commonBext(document: SessionDocument, known: Extensions): BroadcastInfo {
  const sources = document.channels.map((channel) => stripBext(document, channel, known));
  const [first] = sources;
  if (!first) return {};
  if (sources.length === 1) return first;
  const agreed = (key: 'timeReference' | 'codingHistory') =>
    first[key] !== undefined && sources.every((source) => source[key] === first[key]) ? { [key]: first[key] } : {};
  return { ...agreed('timeReference'), ...agreed('codingHistory') };
}

/**
 * The extension of one file: what is kept, a line of history, and an origin where the source states none.
 * @param what was done, in words
 */
export function fileBext(
  kept: BroadcastInfo,
  description: string,
  { bits, factor, program, now }: Pick<ExportOptions, 'bits' | 'factor' | 'program' | 'now'>,
  shape: { readonly sampleRate: number; readonly channels: 1 | 2; readonly what: string },
): BroadcastInfo {
  const date = now?.toISOString();
  const stamp: BroadcastInfo = {
    originator: 'Level Best',
    ...(date ? { date: date.slice(0, 10), time: date.slice(11, 19) } : {}),
  };
  return {
    ...kept,
    ...(kept.originator || kept.date ? {} : stamp),
    description: kept.description || description,
    codingHistory: longer(kept.codingHistory ?? '', historyLine({ bits, factor, program }, shape)),
  };
}

/** One line by EBU R 98: coding, rate, word length, mode, and what was done. */
function historyLine(
  { bits, factor, program }: Pick<ExportOptions, 'bits' | 'factor' | 'program'>,
  { sampleRate, channels, what }: { readonly sampleRate: number; readonly channels: 1 | 2; readonly what: string },
): string {
  const words = bits === 'float' ? 'W=32' : `W=${bits}`;
  // Commas part the fields, so none may stand in the text.
  const text = `${program}; ${factor}x; ${what}`.replaceAll(',', ';');
  return `A=PCM,F=${sampleRate},${words},M=${channels === 1 ? 'mono' : 'stereo'},T=${text}\r\n`;
}

function longer(history: string, line: string): string {
  const ended = history === '' || /[\r\n]$/.test(history) ? history : `${history}\r\n`;
  return `${newestLines(ended, LIMITS.codingHistory - line.length)}${line}`;
}
