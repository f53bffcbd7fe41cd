/**
 * Seeded renders through every door of the engine, for redesigns that have to keep every bit: racks of every kind at
 * several rates, moving parameters, stages switched and exchanged, sessions with buses, mutes, solos and scenes on both
 * sides, prints, gains and figures.
 */

import { seededRandom } from '../../src/dsp/random.ts';
import type { StageConfig } from '../../src/engine/config.ts';
import { SessionEngine } from '../../src/engine/session-engine.ts';
import { stageKinds } from '../../src/engine/stages/catalogue.ts';
import type { StageKind } from '../../src/engine/stages/stage-kind.ts';
import { exportSides } from '../../src/export/export-document.ts';
import { planExport } from '../../src/export/export-plan.ts';
import { exportPieces } from '../../src/export/export-stream.ts';
import { SessionAnalysis } from '../../src/measure/session-analysis.ts';
import { listeningConfig } from '../../src/render/listening-config.ts';
import { runToEnd } from '../../src/render/run-steps.ts';
import { renderSession } from '../../src/render/session-render.ts';
import type { SessionDocument } from '../../src/session/document.ts';
import { bursts, smallSession, smallSources } from '../measure/sessions.ts';
import { variantsOf } from '../support/any-stage.ts';
import { freshKernels, rack, runRack, stage } from '../support/rig.ts';

/** A render's name and what came out: planes one after the other, or bytes of files, or text. */
export type Render = readonly [name: string, data: readonly (Float32Array | Uint8Array)[]];

export async function* renders(): AsyncGenerator<Render> {
  yield* rackRenders();
  yield* movingRacks();
  yield* sessionRenders();
}

/** Bursts with a tone in them, so that curves, corners and emphasis all have something to do. */
function signal(frames: number, rate: number, seed: number, level = 0.25): Float32Array {
  const sound = bursts(frames, rate, 3 * level, seed);
  return sound.map((x, i) => x + level * Math.sin((2 * Math.PI * 997 * i) / rate));
}

function* rackRenders(): Generator<Render> {
  for (const kind of stageKinds) {
    for (const { name, values } of [...variantsOf(kind), ...anySettings(kind)]) {
      const one = stage(kind.id, values);
      const planes = [signal(9600, 48000, 1), signal(9600, 48000, 2, 0.5)];
      yield [`rack ${kind.id} ${name}`, runRack(rack([one], 0.8), planes)];
    }
    for (const sampleRate of [44100, 96000]) {
      for (const factor of [4, 8] as const) {
        const planes = [signal(9600, sampleRate, 3), signal(9600, sampleRate, 4)];
        const config = rack([stage(kind.id, { drive: 6 }), stage(kind.id, { trimIn: 3, blend: 60 })]);
        yield [`rack ${kind.id} ${sampleRate} ${factor}x`, runRack(config, planes, { sampleRate, factor })];
      }
    }
  }
  const all = stageKinds.map(({ id }) => stage(id, { drive: 3 }));
  yield ['rack of every kind, mono', runRack(rack(all), [signal(24000, 48000, 5)])];
}

function anySettings(kind: StageKind) {
  const random = seededRandom(kind.id.length);
  return Array.from({ length: 6 }, (_, index) => ({
    name: `random ${index}`,
    values: Object.fromEntries(
      kind.parameters.map((parameter) => [
        parameter.id,
        parameter.type === 'choice'
          ? parameter.choices[Math.floor(random() * parameter.choices.length)].id
          : parameter.min + random() * (parameter.max - parameter.min),
      ]),
    ),
  }));
}

function* movingRacks(): Generator<Render> {
  for (const kind of stageKinds) {
    const from = stage(kind.id, { drive: -3 });
    const to = { ...stage(kind.id, { drive: 9, tilt: 3, blend: 70, trimOut: -2 }), key: from.key };
    const other = stage(stageKinds[0].id, { drive: 4 });
    const steps: StageConfig[][] = [[from], [to], [{ ...to, on: false }], [to, other], [other, to], [other], []];
    const planes = [signal(48000, 48000, 6), signal(48000, 48000, 7)];
    let step = 0;
    const moved = runRack(rack([from]), planes, {
      blocks: (index) => 1 + ((index * 37) % 128),
      before: (frame, processor) => {
        if (frame < (step + 1) * 6000 || step + 1 >= steps.length) return;
        step++;
        processor.set(rack(steps[step], 1 - 0.05 * step));
      },
    });
    yield [`moving ${kind.id}`, moved];
  }
}

async function* sessionRenders(): AsyncGenerator<Render> {
  const sources = smallSources(4);
  const plain = matchedSession();
  yield ['session, both sides', flat(runToEnd(renderSession(plain, sources, { factor: 4 })))];
  yield ['session at 8x', flat(runToEnd(renderSession(plain, sources, { factor: 8 })))];
  for (const [name, document] of listenedSessions(plain)) yield [`heard: ${name}`, heard(document, sources)];
  for (const bits of [16, 24, 'float'] as const) {
    const plan = planExport({
      sides: exportSides(plain),
      sources,
      factor: 4,
      format: 'wav',
      bits,
      stems: true,
      program: 'Level Best 0',
    });
    const files = new Map<string, Uint8Array[]>(plan.files.map(({ name }) => [name, []]));
    for await (const { file, bytes, at } of exportPieces(plan)) {
      if (at === undefined) files.get(file.name)?.push(bytes);
    }
    for (const [name, pieces] of files) yield [`export ${bits} ${name}`, pieces];
  }
  const analysis = new SessionAnalysis(plain.sampleRate, plain.alignmentDbfs);
  for (const [id, planes] of sources) analysis.setSource(id, planes);
  yield ['analysis', [text(runToEnd(analysis.analyse(plain)))]];
  const mixes = runToEnd(analysis.mixes(plain));
  if (mixes) yield ['analysis, mixes', [...mixes.clean, ...mixes.mix]];
}

/** Gains as a match would leave them, so that nothing here hangs on the match itself. */
function matchedSession(): SessionDocument {
  const document = structuredClone(smallSession()) as SessionDocument;
  const racks = [...document.channels, ...document.buses, document.mix].map(({ rack: one }) => one);
  racks.forEach((one, index) => {
    (one as { matchGainDb: number }).matchGainDb = 0.7 - 0.3 * index;
  });
  return { ...document, mix: { ...document.mix, outputMatchDb: 0.15 } };
}

function* listenedSessions(plain: SessionDocument): Generator<[string, SessionDocument]> {
  yield ['as it is', plain];
  const channels = (change: (index: number) => object) =>
    plain.channels.map((channel, index) => ({ ...channel, ...change(index) }));
  yield ['a mute', { ...plain, channels: channels((index) => ({ mute: index === 1 })) }];
  yield ['a solo', { ...plain, channels: channels((index) => ({ solo: index === 0 })) }];
  yield [
    'a solo through the buses',
    { ...plain, soloThroughBuses: true, channels: channels((i) => ({ solo: i === 0 })) },
  ];
  const racks = Object.fromEntries(plain.channels.map(({ id }, index) => [id, plain.channels[(index + 1) % 3].rack]));
  const scene = { id: 'scene', name: 'Scene', notes: '', racks, allDrivesDb: 3 };
  const other = { ...scene, id: 'other', allDrivesDb: -4 };
  const scenes = [scene, other];
  yield ['a scene against clean', { ...plain, scenes, sides: { a: 'clean', b: 'scene' } }];
  yield ['two scenes', { ...plain, scenes, sides: { a: 'scene', b: 'other' } }];
  yield ['one rack in scope', { ...plain, scope: { kind: 'only', rackId: 'melodica' }, allDrivesDb: 2 }];
  yield ['unmatched', { ...plain, matching: false }];
}

/** What the listening engine puts out while the switch moves and the session is edited. */
function heard(document: SessionDocument, sources: ReadonlyMap<string, Float32Array[]>): Float32Array[] {
  const gains = { racks: {}, outputDb: 0.4 };
  const config = listeningConfig(document, { a: gains, b: gains, headroomDb: 0 });
  const engine = new SessionEngine(freshKernels(), {
    sampleRate: 48000,
    factor: 4,
    alignmentDbfs: -18,
    maxChannels: 8,
    maxBuses: 2,
  });
  engine.reset(config);
  engine.listenNow('b');
  const frames = 96000;
  const pair = () => [new Float32Array(frames), new Float32Array(frames)];
  const [output, a, b] = [pair(), pair(), pair()];
  const inputs = document.channels.map(({ id }) => sources.get(id) ?? []);
  const turned = {
    ...document,
    channels: document.channels.map((one) => ({ ...one, pan: -one.pan, gainDb: one.gainDb - 2 })),
  };
  for (let at = 0; at < frames; at += 100) {
    if (at === 20000) engine.listen('a');
    if (at === 30000) engine.listen('added', 0.97);
    if (at === 40000) engine.update(listeningConfig(turned, { a: gains, b: gains, headroomDb: 0 }));
    if (at === 60000) engine.setMatch('bus', 0, 0.7);
    engine.process(inputs, output, Math.min(100, frames - at), at, a, b);
  }
  return [...output, ...a, ...b];
}

function flat({ clean, coloured }: { clean: Float32Array[]; coloured: Float32Array[] }): Float32Array[] {
  return [...clean, ...coloured];
}

function text(value: unknown): Uint8Array {
  return new TextEncoder().encode(
    JSON.stringify(value, (_, one) =>
      ArrayBuffer.isView(one) ? Array.from(one as unknown as ArrayLike<number>) : one,
    ),
  );
}
