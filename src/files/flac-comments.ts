/** The broadcast extension's facts in a FLAC: as Vorbis comments (RFC 9639, section 8.6), by the names ffmpeg gives them. */
import type { BroadcastInfo, BroadcastLoudness } from './audio-data.ts';

const MARK = 4;
const BLOCK_HEAD = 4;
const STREAMINFO = 34;
const PADDING = 1;
const COMMENTS = 4;
const LAST = 0x80;
/** A block's length has three bytes; a header this long is no description any more. */
const MOST_BYTES = 1 << 20;
/** Room for the loudness that is only known at the end: five comments. */
const LOUDNESS_ROOM = 256;

const TEXTS = {
  description: 'DESCRIPTION',
  originator: 'ENCODED_BY',
  originatorReference: 'ORIGINATOR_REFERENCE',
  date: 'DATE',
  time: 'CREATION_TIME',
  codingHistory: 'CODING_HISTORY',
} as const;
const TIME_REFERENCE = 'TIME_REFERENCE';
/** EBU Tech 3285's own names for the fields, with their units written out. */
const LOUDNESS = {
  integrated: ['LOUDNESS_VALUE', 'LUFS'],
  range: ['LOUDNESS_RANGE', 'LU'],
  truePeak: ['MAX_TRUE_PEAK_LEVEL', 'dBTP'],
  momentary: ['MAX_MOMENTARY_LOUDNESS', 'LUFS'],
  shortTerm: ['MAX_SHORT_TERM_LOUDNESS', 'LUFS'],
} as const;

/**
 * What stands before the sound: the mark, STREAMINFO as it is in `head`, the comments, and padding, so that the length
 * is the same with and without a loudness.
 * @param head of a FLAC, at least to the end of its STREAMINFO
 */
export function flacHead(head: Uint8Array, info: BroadcastInfo): Uint8Array<ArrayBuffer> {
  const plain = commentsBody({ ...info, loudness: undefined });
  const body = commentsBody(info);
  const streamInfo = head.slice(MARK, MARK + BLOCK_HEAD + STREAMINFO);
  streamInfo[0] &= ~LAST;
  const padding = new Uint8Array(plain.length + LOUDNESS_ROOM - body.length);
  const parts = [head.subarray(0, MARK), streamInfo, block(COMMENTS, body), block(PADDING | LAST, padding)];
  return joined(parts);
}

/** Bytes of all metadata blocks with the mark before them; 0 where they don't end within these bytes. */
export function flacHeadBytes(bytes: Uint8Array): number {
  return blocksOf(bytes).end;
}

/** The broadcast extension that a FLAC's comments tell; undefined where they tell none of it. */
export function flacBroadcastInfo(bytes: Uint8Array): BroadcastInfo | undefined {
  const comments = blocksOf(bytes).blocks.find(({ type }) => type === COMMENTS);
  if (!comments) return undefined;
  const values = readComments(bytes.subarray(comments.start, comments.end));
  const info: BroadcastInfo = {};
  for (const [key, name] of Object.entries(TEXTS) as [keyof typeof TEXTS, string][]) {
    const value = values.get(name);
    if (value) info[key] = value;
  }
  const reference = Number(values.get(TIME_REFERENCE) || Number.NaN);
  if (Number.isSafeInteger(reference) && reference >= 0) info.timeReference = reference;
  const loudness: BroadcastLoudness = {};
  for (const [key, [name]] of Object.entries(LOUDNESS) as [keyof BroadcastLoudness, readonly [string, string]][]) {
    const value = Number.parseFloat(values.get(name) ?? '');
    if (Number.isFinite(value)) loudness[key] = value;
  }
  if (Object.keys(loudness).length > 0) info.loudness = loudness;
  // A date or a description alone stands in many a file that never was a broadcast WAV.
  const isBroadcast = info.timeReference !== undefined || info.codingHistory !== undefined;
  return isBroadcast ? info : undefined;
}

function commentsBody(info: BroadcastInfo): Uint8Array {
  const texts = (Object.entries(TEXTS) as [keyof typeof TEXTS, string][]).flatMap(([key, name]) =>
    info[key] ? [`${name}=${info[key]}`] : [],
  );
  const reference = info.timeReference === undefined ? [] : [`${TIME_REFERENCE}=${info.timeReference}`];
  const { loudness = {} } = info;
  const stated = (Object.entries(LOUDNESS) as [keyof BroadcastLoudness, readonly [string, string]][]).flatMap(
    ([key, [name, unit]]) => (loudness[key] === undefined ? [] : [`${name}=${loudness[key].toFixed(2)} ${unit}`]),
  );
  const comments = [...texts, ...reference, ...stated];
  return joined([text('Level Best'), number(comments.length), ...comments.map(text)]);
}

function readComments(body: Uint8Array): Map<string, string> {
  const view = new DataView(body.buffer, body.byteOffset, body.byteLength);
  const values = new Map<string, string>();
  let at = 0;
  const next = () => {
    if (at + 4 > body.length) return null;
    const length = view.getUint32(at, true);
    const start = at + 4;
    if (length > body.length - start) return null;
    at = start + length;
    return fromUtf8(body.subarray(start, at));
  };
  if (next() === null || at + 4 > body.length) return values;
  at += 4;
  for (let comment = next(); comment !== null; comment = next()) {
    const equals = comment.indexOf('=');
    const name = comment.slice(0, Math.max(0, equals)).toUpperCase();
    if (equals > 0 && !values.has(name)) values.set(name, comment.slice(equals + 1));
  }
  return values;
}

interface Block {
  readonly type: number;
  readonly start: number;
  readonly end: number;
}

function blocksOf(bytes: Uint8Array): { readonly blocks: Block[]; readonly end: number } {
  const blocks: Block[] = [];
  if (String.fromCharCode(...bytes.subarray(0, MARK)) !== 'fLaC') return { blocks, end: 0 };
  for (let at = MARK; at + BLOCK_HEAD <= bytes.length; ) {
    const start = at + BLOCK_HEAD;
    const end = start + ((bytes[at + 1] << 16) | (bytes[at + 2] << 8) | bytes[at + 3]);
    if (end > bytes.length) break;
    blocks.push({ type: bytes[at] & ~LAST, start, end });
    if (bytes[at] & LAST) return { blocks, end };
    at = end;
  }
  return { blocks, end: 0 };
}

function block(type: number, body: Uint8Array): Uint8Array {
  if (body.length > MOST_BYTES) throw new RangeError(`A metadata block of ${body.length} bytes`);
  return joined([Uint8Array.of(type, body.length >> 16, (body.length >> 8) & 255, body.length & 255), body]);
}

function text(value: string): Uint8Array {
  const bytes = toUtf8(value);
  return joined([number(bytes.length), bytes]);
}

// The numeric core has no host, and so no TextEncoder; the language itself speaks UTF-8 only in its addresses.
function toUtf8(value: string): Uint8Array {
  const escaped = encodeURIComponent(value.replace(/\p{Surrogate}/gu, '?'));
  const codes = escaped.replace(/%([0-9A-F]{2})/g, (_, hex: string) => String.fromCharCode(Number.parseInt(hex, 16)));
  return Uint8Array.from(codes, (code) => code.charCodeAt(0));
}

/** Bytes that are no UTF-8 are taken as Latin-1. */
function fromUtf8(bytes: Uint8Array): string {
  try {
    return decodeURIComponent(Array.from(bytes, (byte) => `%${byte.toString(16).padStart(2, '0')}`).join(''));
  } catch {
    return Array.from(bytes, (byte) => String.fromCharCode(byte)).join('');
  }
}

/** Lengths are little-endian here, unlike everything else in a FLAC. */
function number(value: number): Uint8Array {
  const bytes = new Uint8Array(4);
  new DataView(bytes.buffer).setUint32(0, value, true);
  return bytes;
}

function joined(parts: readonly Uint8Array[]): Uint8Array<ArrayBuffer> {
  const bytes = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    bytes.set(part, at);
    at += part.length;
  }
  return bytes;
}
