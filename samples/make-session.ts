/** Writes the demo session's document beside its audio: `npm run demo`. */
import { createHash } from 'node:crypto';
import { readFileSync, writeFileSync } from 'node:fs';
import { defaultValues } from '../src/engine/parameters.ts';
import { findStageKind } from '../src/engine/stages/catalogue.ts';
import { readFlac } from '../src/files/flac.ts';
import type { Bus, Channel, Rack, SessionDocument, Stage } from '../src/session/document.ts';
import { emptyRack, emptySession, newBus, newChannel, newStage, parseSession } from '../src/session/document.ts';

let stages = 0;

function stage(kindId: string, params: Record<string, number | string>): Stage {
  const kind = findStageKind(kindId);
  if (!kind) throw new Error(`There is no kind ${kindId}.`);
  stages++;
  return newStage(`stage-${stages}`, kindId, { ...defaultValues(kind.parameters), ...params });
}

function rack(...list: Stage[]): Rack {
  return { ...emptyRack(), stages: list };
}

async function channel(
  id: string,
  name: string,
  busId: string,
  pan: number,
  gainDb: number,
  content: Rack,
): Promise<Channel> {
  const file = `${id}.flac`;
  const bytes = new Uint8Array(readFileSync(new URL(`samples/audio/${file}`, root)));
  const audio = await readFlac(bytes);
  const reference = {
    file,
    sha256: createHash('sha256').update(bytes).digest('hex'),
    sampleRate: audio.sampleRate,
    channelCount: audio.channels.length,
    frames: audio.channels[0].length,
  };
  return newChannel(id, name, { audio: reference, busId, gainDb, pan, rack: content });
}

const root = new URL(`file://${process.cwd()}/`);

const buses: Bus[] = [
  newBus('reeds', 'Reeds bus', {
    gainDb: -3,
    rack: rack(stage('push-pull-pair', { drive: -6, uneven: 8 })),
  }),
  newBus('rhythm', 'Rhythm bus', { gainDb: -3, rack: rack(stage('soft-clip', { drive: -8, bias: 10 })) }),
];

const session: SessionDocument = {
  ...emptySession(48000, 'Harbour Hall sextet'),
  channels: [
    await channel(
      'melodica',
      'Melodica',
      'reeds',
      -18,
      0,
      rack(
        stage('harmonic-set', { trimIn: 3, trimOut: -3, drive: -7, h2: -40, h3: -52, h4: -64 }),
        stage('diode-pair', { drive: -3.2, up: '2', blend: 70 }),
        stage('soft-clip', { curve: 'tanh', drive: -5, trimIn: 1.5, trimOut: -1.5 }),
      ),
    ),
    await channel('bass-clarinet', 'Bass clarinet', 'reeds', 10, 0, rack(stage('triode', { drive: -7 }))),
    await channel(
      'accordion',
      'Accordion',
      'reeds',
      0,
      0,
      rack(stage('harmonic-set', { drive: -9, h2: -46, h3: -44 })),
    ),
    await channel(
      'frame-drum',
      'Frame drum',
      'rhythm',
      0,
      0,
      rack(
        stage('soft-clip', { curve: 'algebraic', knee: 3, drive: -7.3, trimIn: 2, trimOut: -2 }),
        stage('soft-clip', { curve: 'arctangent', drive: -8 }),
      ),
    ),
    await channel('shaker', 'Shaker', 'rhythm', 25, 0, rack()),
    await channel('upright-bass', 'Upright bass', 'rhythm', 0, 0, rack(stage('transformer', { drive: -2 }))),
  ],
  buses,
  mix: { rack: rack(stage('tape', { drive: -6 })), outputMatchDb: null },
};

writeFileSync(new URL('samples/harbour-hall.json', root), `${JSON.stringify(parseSession(session), null, 2)}\n`);
console.log('samples/harbour-hall.json: 6 channels, 2 buses, mix');
