/** The files of an export: their names, what each holds, and what its broadcast extension says. */
import type { BroadcastInfo } from '../files/audio-data.ts';
import type { Planes } from '../render/rack-renderer.ts';
import type { Tap } from '../render/tap-stream.ts';
import type { Channel, RackId } from '../session/document.ts';
import { MIX_ID } from '../session/document.ts';
import { commonBext, fileBext, stripBext } from './export-bext.ts';
import type { ExportOptions } from './export-options.ts';
import { fileName } from './file-name.ts';
import { sourceName, toldApart } from './print-names.ts';

export type ExportKind = 'clean' | 'coloured' | 'channel' | 'bus';

export interface PlannedFile {
  /** With the folder it belongs into, if any: "channels before fader/melodica.wav". */
  readonly name: string;
  readonly kind: ExportKind;
  readonly rackId: RackId;
  /** The strip's name, or that of the side. */
  readonly title: string;
  readonly tap: Tap;
  readonly channels: 1 | 2;
  readonly bext: BroadcastInfo;
}

/** @param inputs each channel's sound, in the session's order */
export function plannedFiles(options: ExportOptions, inputs: readonly Planes[]): PlannedFile[] {
  const { pair = true, stems = false } = options;
  return [
    ...(pair ? mixes(options) : []),
    ...(stems ? [...channelPrints(options, inputs), ...busPrints(options)] : []),
  ];
}

function mixes(options: ExportOptions): PlannedFile[] {
  const { sides, format, mixChannels: channels = 2 } = options;
  const { b: document } = sides;
  const common = commonBext(document, options.bext);
  return (['a', 'b'] as const).map((side) => {
    const kind = side === 'a' ? 'clean' : 'coloured';
    const title = sides.names[side];
    const plain = title === (side === 'a' ? 'Clean' : 'Coloured');
    return {
      name: `${plain ? kind : fileName(`side ${side.toUpperCase()} ${title}`)}.${format}`,
      kind,
      rackId: MIX_ID,
      title,
      tap: { side, place: 'mix', index: 0 },
      channels,
      bext: described(options, common, `${document.name}: ${title}`, channels, `mix, ${title}`),
    };
  });
}

/** Under the names of their sources, in a folder that says where they were taken. */
function channelPrints(options: ExportOptions, inputs: readonly Planes[]): PlannedFile[] {
  const { sides, format, fader = 'before' } = options;
  const { b: document } = sides;
  const names = toldApart(
    document.channels.map(({ name, audio }) => (audio ? sourceName(audio.file) : fileName(name))),
  );
  return document.channels.map((channel, index) => {
    // No stage mixes the two sides of a channel, so a rack keeps mono mono; balance is what makes two of it.
    const channels = fader === 'before' ? planeCount(channel, inputs[index]) : 2;
    const kept = stripBext(document, channel, options.bext);
    return {
      name: `channels ${fader} fader/${names[index]}.${format}`,
      kind: 'channel',
      rackId: channel.id,
      title: channel.name,
      tap: { side: 'b', place: 'channel', index, fader },
      channels,
      bext: described(options, kept, channel.name, channels, `channel ${fader} fader, ${channel.name}`),
    };
  });
}

function busPrints(options: ExportOptions): PlannedFile[] {
  const { sides, format, fader = 'before' } = options;
  const { b: document } = sides;
  const common = commonBext(document, options.bext);
  const names = toldApart(document.buses.map(({ name }) => fileName(name)));
  return document.buses.map(({ id, name }, index) => ({
    name: `buses ${fader} fader/${names[index]}.${format}`,
    kind: 'bus',
    rackId: id,
    title: name,
    tap: { side: 'b', place: 'bus', index, fader },
    channels: 2,
    bext: described(options, common, `${document.name}: bus ${name}`, 2, `bus ${fader} fader, ${name}`),
  }));
}

function described(
  options: ExportOptions,
  kept: BroadcastInfo,
  description: string,
  channels: 1 | 2,
  what: string,
): BroadcastInfo {
  return fileBext(kept, description, options, { sampleRate: options.sides.b.sampleRate, channels, what });
}

/** Of a channel whose sound isn't there, as many as its file has. */
function planeCount({ audio }: Channel, planes: Planes): 1 | 2 {
  return (planes.length || audio?.channelCount || 1) === 1 ? 1 : 2;
}
