/** From a question to a trial that can run: sounds rendered and matched, the scheduler with its plan. */

import { LOUDER_DB } from '../../blind/catch-trials.ts';
import type { SessionFacts } from '../../blind/scheduler.ts';
import { TrialScheduler } from '../../blind/scheduler.ts';
import { dbToGain } from '../../dsp/units.ts';
import { exportSides } from '../../export/export-document.ts';
import { LONGEST_TRIAL_LOOP, loopOf, SHORTEST_TRIAL_LOOP } from '../../measure/trial/trial-loop.ts';
import { TrialError } from '../../measure/trial/trial-set.ts';
import type { Region } from '../../session/document.ts';
import type { TrialQuestion } from '../../stores/trial-store.ts';
import { planOf, settingsOf } from './plan.ts';
import { asItStands } from './settings.ts';
import type { PairPlayer, TrialHost, TrialTools } from './trial-parts.ts';
import { TrialRun } from './trial-run.ts';

/** Monitor levels up to here are silence, dB. */
const SILENT_DB = -60;

export interface Preparation {
  readonly question: TrialQuestion;
  readonly loop: Region;
  readonly host: TrialHost;
  readonly tools: TrialTools;
  readonly player: PairPlayer;
  readonly onProgress: (share: number) => void;
  /** Something about the run changed. */
  readonly changed: () => void;
}

/** @throws TrialError or BlindTrialError with a sentence that says what to do */
export async function preparedRun(preparation: Preparation, signal: AbortSignal): Promise<TrialRun> {
  const { question, loop, host, tools, player, onProgress, changed } = preparation;
  const { document } = host;
  const { sampleRate } = document;
  const facts: SessionFacts = {
    bits: tools.bits,
    startedAt: tools.date(),
    software: tools.program,
    device: `The browser's output at ${sampleRate} Hz, monitor level ${host.monitorDb} dB`,
    programme: `${document.name}, ${loop.startSeconds.toFixed(1)} to ${loop.endSeconds.toFixed(1)} s`,
  };
  if (host.durationSeconds < SHORTEST_TRIAL_LOOP) {
    throw new TrialError(
      `A blind trial repeats ${SHORTEST_TRIAL_LOOP} to ${LONGEST_TRIAL_LOOP} seconds of sound; this session has ${host.durationSeconds.toFixed(1)}. Add longer recordings first.`,
    );
  }
  // A question that can't be asked is refused before anything is rendered.
  new TrialScheduler(
    planOf(question, document, () => null, false),
    facts,
  );
  const asked = settingsOf(question, document);
  const playing = exportSides(asItStands(document)).b;
  const loops = new Map(
    playing.channels.flatMap(({ id }) => {
      const planes = host.planes().get(id);
      return planes ? [[id, loopOf(planes, loop, sampleRate)] as const] : [];
    }),
  );
  const request = { document: playing, loops, ...asked, headroomDb: LOUDER_DB };
  const sounds = await tools.render(request, onProgress, signal);
  const plain = sounds.sounds.filter(({ overdriven }) => !overdriven);
  const gainDb = (id: string) => plain.find((sound) => sound.id === id)?.matchGainDb ?? null;
  return new TrialRun({
    scheduler: new TrialScheduler(planOf(question, document, gainDb, sounds.canCatch), facts),
    sounds,
    sampleRate,
    player,
    monitor: () => (host.monitorDb <= SILENT_DB ? 0 : dbToGain(Math.min(0, host.monitorDb))),
    now: () => tools.now(),
    wait: (ms) => tools.wait(ms),
    changed,
  });
}
