/** The store of blind trials in Node: a session with its history, sounds that are made up, and a player that only listens. */

import type { Interruption } from '../../src/audio/interruptions.ts';
import type { TrialPair, TrialSlot } from '../../src/audio/trial-graph.ts';
import { bitsFrom } from '../../src/blind/random-bits.ts';
import { seededRandom } from '../../src/dsp/random.ts';
import type { RenderedSound, RenderedSounds, TrialRequest } from '../../src/measure/trial/trial-set.ts';
import type { SessionDocument } from '../../src/session/document.ts';
import { History } from '../../src/session/history.ts';
import { keepTrial } from '../../src/session/kept-trials.ts';
import type { TrialQuestion } from '../../src/stores/trial-store.ts';
import type { TrialTools } from '../../src/workbench/trials/trial-parts.ts';
import { Trials } from '../../src/workbench/trials/trials.ts';
import { smallSession } from '../measure/sessions.ts';

/** What the sound of one pair was, as the player got it. */
export interface Played {
  readonly first: Heard;
  readonly second: Heard;
  readonly x: Heard | null;
  readonly level: number;
}

export interface Heard {
  readonly id: string;
  readonly overdriven: boolean;
  readonly extraGainDb: number;
}

export interface Rig {
  readonly trials: Trials;
  readonly history: History;
  readonly pairs: readonly Played[];
  /** What the player was told, in order. */
  readonly told: readonly string[];
  readonly said: readonly string[];
  /** Waits that were asked for, ms. */
  readonly waits: readonly number[];
  readonly requests: readonly TrialRequest[];
  interrupt(reason: Interruption): void;
}

export interface RigOptions {
  readonly document?: SessionDocument;
  readonly seed?: number;
  readonly attenuationDb?: number;
  readonly monitorDb?: number;
  readonly durationSeconds?: number;
  readonly canCatch?: boolean;
  readonly render?: TrialTools['render'];
  /** Makes opening the device fail with this sentence. */
  readonly deviceFault?: () => string | null;
}

/** Starts with the sheet open. */
export function trialRig(options: RigOptions = {}): Rig {
  const { document = smallSession(), seed = 1, attenuationDb = -2, monitorDb = -6, durationSeconds = 24 } = options;
  const history = new History(document);
  const pairs: Played[] = [];
  const told: string[] = [];
  const said: string[] = [];
  const waits: number[] = [];
  const requests: TrialRequest[] = [];
  const known = new Map<readonly Float32Array[], RenderedSound>();
  let interrupt: (reason: Interruption) => void = () => undefined;
  let clock = 0;
  let ids = 0;
  const heard = (planes: readonly Float32Array[], extraGainDb: number): Heard => {
    const sound = known.get(planes);
    if (!sound) throw new Error('The player got a sound that nobody rendered.');
    return { id: sound.id, overdriven: sound.overdriven, extraGainDb };
  };
  const sounds = (request: TrialRequest): RenderedSounds => {
    const made = [false, true].flatMap((overdriven) =>
      request.settings.map(({ id }, i): RenderedSound => {
        const planes = [Float32Array.of(i), Float32Array.of(-i)];
        return { id, overdriven, planes, matchGainDb: 0 - 0.5 * i, residualLu: 0.002 * i, truePeakDbtp: -3 };
      }),
    );
    for (const sound of made) known.set(sound.planes, sound);
    return { sounds: made, loudnessLufs: -18, attenuationDb, canCatch: options.canCatch ?? true };
  };
  const trials = new Trials(
    {
      get document() {
        return history.document;
      },
      planes: () => new Map(),
      durationSeconds,
      monitorDb,
      silence: () => told.push('session silent'),
      dispatch: (command) => {
        history.dispatch(command, clock);
      },
      keep: (record) => {
        let kept = false;
        ids++;
        history.adopt((draft) => {
          kept = keepTrial(draft, { id: `trial-${ids}`, record });
        });
        return kept;
      },
      say: (_, text) => said.push(text),
    },
    {
      render: async (request, onProgress, signal) => {
        requests.push(request);
        if (options.render) return options.render(request, onProgress, signal);
        onProgress(0.5);
        return sounds(request);
      },
      player: (onInterruption) => {
        interrupt = onInterruption;
        return {
          async open() {
            const fault = options.deviceFault?.();
            if (fault) throw new Error(fault);
          },
          get now() {
            return clock / 1000;
          },
          start({ slots: { first, second, x }, level }: TrialPair, at: number) {
            if (!first || !second) throw new Error('A pair has two sounds.');
            pairs.push({
              first: heard(first.planes, first.extraGainDb),
              second: heard(second.planes, second.extraGainDb),
              x: x && heard(x.planes, x.extraGainDb),
              level,
            });
            told.push(`start in ${Math.round(1000 * at - clock)} ms`);
          },
          hear: (slot: TrialSlot) => told.push(`hear ${slot}`),
          setMuted: (muted: boolean) => told.push(muted ? 'mute' : 'unmute'),
          stop: () => told.push('stop'),
          close: () => told.push('close'),
        };
      },
      bits: bitsFrom(seededRandom(seed)),
      now: () => clock,
      wait: async (ms) => {
        waits.push(ms);
        await Promise.resolve();
        clock += ms;
      },
      date: () => '2026-03-02T19:30:00.000Z',
      program: 'Level Best 0.0.0',
    },
  );
  trials.open();
  return { trials, history, pairs, told, said, waits, requests, interrupt: (reason) => interrupt(reason) };
}

/** Clean against the session as it stands. */
export function abx(trials = 8): Extract<TrialQuestion, { kind: 'abx' }> {
  return {
    kind: 'abx',
    sounds: [
      { what: 'setting', setting: 'clean' },
      { what: 'setting', setting: 'current' },
    ],
    rule: { type: 'fixed', trials },
  };
}

type Choose = (played: Played) => 'first' | 'second';

/** Names X rightly. */
export const right: Choose = ({ first, x }) => (same(x, first) ? 'first' : 'second');

/** Answers every pair until the run ends, or so many of them. @returns how many were answered */
export async function answerAll({ trials, pairs }: Rig, choose: Choose, most = Infinity): Promise<number> {
  let answered = 0;
  while (trials.phase === 'running' && answered < most) {
    if (answered > 500) throw new Error('These trials never end.');
    await trials.next();
    if (trials.slot === null) throw new Error(`No pair came: ${trials.remark}`);
    trials.answer(choose(pairs[pairs.length - 1] as Played));
    answered++;
  }
  return answered;
}

export function same(a: Heard | null, b: Heard | null): boolean {
  return a?.id === b?.id && a?.overdriven === b?.overdriven && a?.extraGainDb === b?.extraGainDb;
}

/** Everything that can be read of an object without calling it: its own properties and its getters, all the way down. */
export function publicState(value: unknown, seen = new Map<object, unknown>()): unknown {
  if (typeof value === 'function') return 'function';
  if (typeof value !== 'object' || value === null) return value;
  if (seen.has(value)) return 'again';
  seen.set(value, null);
  if (ArrayBuffer.isView(value)) return [...(value as Float32Array)];
  if (value instanceof Map || value instanceof Set) return [...value].map((one) => publicState(one, seen));
  const names = new Set<PropertyKey>(Reflect.ownKeys(value));
  for (
    let proto = Object.getPrototypeOf(value);
    proto && proto !== Object.prototype;
    proto = Object.getPrototypeOf(proto)
  ) {
    for (const name of Reflect.ownKeys(proto)) if (Object.getOwnPropertyDescriptor(proto, name)?.get) names.add(name);
  }
  return Object.fromEntries([...names].map((name) => [String(name), publicState(Reflect.get(value, name), seen)]));
}
