import { fileSave } from 'browser-fs-access';
import { exportSides } from '../../analysis/export/export-document.ts';
import type { Planes } from '../../analysis/rack-renderer.ts';
import { loopOf } from '../../analysis/trial/trial-loop.ts';
import type { TrialRequest, TrialSounds } from '../../analysis/trial/trial-sounds.ts';
import type { Interruption } from '../../audio/interruptions.ts';
import type { TrialOutcome, TrialQuestion, TrialState, TrialStore } from '../../components/context/trial-store.ts';
import { dbToGain } from '../../dsp/units.ts';
import { LOUDER_DB } from '../../listening/catch-trials.ts';
import type { BitSource } from '../../listening/random-bits.ts';
import { TrialScheduler } from '../../listening/scheduler.ts';
import { toCsv, toJson } from '../../listening/trial-csv.ts';
import { DEFAULTS } from '../../listening/trial-plan.ts';
import type { Slot, TrialRecord } from '../../listening/trial-record.ts';
import type { Command } from '../../session/commands.ts';
import type { KeptTrial, Region, SessionDocument } from '../../session/document.ts';
import { Notifier } from '../observable.ts';
import { sentence } from '../sentence.ts';
import { controlChoices, soundChoices } from './choices.ts';
import { expectationOf } from './expectation.ts';
import { keptRecord, outcomeOf } from './outcome.ts';
import { planOf, settingsOf } from './plan.ts';
import { controlOf, foundAmount, resultCommand } from './result-command.ts';
import { asItStands } from './settings.ts';
import { loopWithin, usualLoop } from './trial-loop.ts';
import type { PairPlayer } from './trial-run.ts';
import { TrialRun } from './trial-run.ts';

/** The session that trials are about; the workbench is one. */
export interface TrialHost {
  readonly document: SessionDocument;
  /** Each channel's sound at the session's rate. */
  planes(): ReadonlyMap<string, Planes>;
  readonly durationSeconds: number;
  /** dB, −60 is silence. */
  readonly monitorDb: number;
  /** Stops the session's own sound. */
  silence(): void;
  dispatch(command: Command): void;
  /** Keeps the record with the session; false where there is no room. */
  keep(record: TrialRecord): boolean;
  say(kind: 'info' | 'warning' | 'fault', text: string): void;
}

/** What trials are made with. */
export interface TrialTools {
  render(request: TrialRequest, onProgress: (share: number) => void, signal: AbortSignal): Promise<TrialSounds>;
  player(onInterruption: (reason: Interruption) => void): PairPlayer & { close(): void };
  readonly bits: BitSource;
  /** Milliseconds on a steady clock. */
  now(): number;
  wait(ms: number): Promise<void>;
  /** ISO 8601. */
  date(): string;
  /** Program and version. */
  readonly program: string;
}

/**
 * Blind trials of a session as the screen sees them (see `TrialStore` for the phases). What belongs to which slot is
 * known to the run and the player alone, in private fields.
 */
export class Trials extends Notifier implements TrialStore {
  readonly #host: TrialHost;
  readonly #tools: TrialTools;
  readonly #player: PairPlayer & { close(): void };
  readonly #outcomes = new WeakMap<object, TrialOutcome | null>();
  #phase: TrialStore['phase'] = 'closed';
  #loop: Region | null = null;
  #progress = 0;
  #refusal: string | null = null;
  #preparing: AbortController | null = null;
  #run: TrialRun | null = null;
  #outcome: TrialOutcome | null = null;

  constructor(host: TrialHost, tools: TrialTools) {
    super();
    this.#host = host;
    this.#tools = tools;
    this.#player = tools.player((reason) => this.#run?.interrupt(reason));
  }

  get phase(): TrialStore['phase'] {
    return this.#phase;
  }
  /** True while nothing else may sound or change the session. */
  get busy(): boolean {
    return this.#phase === 'preparing' || this.#phase === 'running';
  }
  get sounds(): TrialStore['sounds'] {
    return soundChoices(this.#host.document);
  }
  get controls(): TrialStore['controls'] {
    return controlChoices(this.#host.document);
  }
  get durationSeconds(): number {
    return this.#host.durationSeconds;
  }
  get loop(): Region {
    return this.#loop ?? usualLoop(this.#host.document.loop, this.durationSeconds);
  }
  get progress(): number {
    return this.#progress;
  }
  get refusal(): string | null {
    return this.#refusal;
  }
  get state(): TrialState | null {
    return this.#run?.state ?? null;
  }
  get slot(): Slot | null {
    return this.#run?.slot ?? null;
  }
  get remark(): string | null {
    return this.#run?.remark ?? null;
  }
  get held(): boolean {
    return this.#run?.held ?? false;
  }
  get muted(): boolean {
    return this.#run?.muted ?? false;
  }
  get outcome(): TrialOutcome | null {
    return this.#outcome;
  }
  get earlier(): readonly TrialOutcome[] {
    const { trials } = this.#host.document;
    return trials.flatMap((trial) => this.#earlierOutcome(trial) ?? []).reverse();
  }

  setLoop(startSeconds: number, lengthSeconds: number): void {
    this.#loop = loopWithin(startSeconds, lengthSeconds, this.durationSeconds);
    this.notify();
  }

  expectation(question: TrialQuestion): readonly string[] {
    return expectationOf(question);
  }

  open(): void {
    if (this.busy) return;
    this.#host.silence();
    if (this.#phase === 'closed') this.#loop = null;
    this.#outcome = null;
    this.#refusal = null;
    this.#to('setup');
  }

  async prepare(question: TrialQuestion): Promise<void> {
    if (this.busy) return;
    this.#host.silence();
    const preparing = new AbortController();
    this.#preparing = preparing;
    this.#progress = 0;
    this.#refusal = null;
    this.#outcome = null;
    this.#to('preparing');
    try {
      const run = await this.#prepared(question, preparing.signal);
      preparing.signal.throwIfAborted();
      this.#run = run;
      this.#to('running');
    } catch (fault) {
      if (preparing.signal.aborted) return;
      this.#refusal = sentence(fault);
      this.#to('setup');
    }
  }

  cancel(): void {
    if (this.#phase !== 'preparing') return;
    this.#preparing?.abort();
    this.#to('setup');
  }

  async next(): Promise<void> {
    await this.#run?.next();
  }
  hear(slot: Slot): void {
    this.#run?.hear(slot);
  }
  setMuted(on: boolean): void {
    this.#run?.setMuted(on);
  }
  answer(choice: 'first' | 'second'): void {
    this.#run?.answer(choice);
    if (this.#run?.hasEnded) this.#finish();
  }
  stop(): void {
    if (!this.#run) return;
    this.#run.stop();
    this.#finish();
  }

  apply(): void {
    const outcome = this.#outcome;
    if (!outcome || outcome.applied || outcome.apply === null) return;
    const found = resultCommand(this.#host.document, outcome.record, outcome.analysis);
    if (!found) return;
    this.#host.dispatch(found.command);
    this.#outcome = { ...outcome, applied: true };
    this.notify();
  }

  async confirm(): Promise<void> {
    const outcome = this.#outcome;
    const control = outcome && controlOf(this.#host.document, outcome.record);
    const found = outcome && foundAmount(outcome.record, outcome.analysis);
    if (!outcome?.canConfirm || !control || !found || found.db === null) return;
    // A rack's amount is added to its drives; once applied, it is in them.
    const amountDb = control.what === 'rack' && outcome.applied ? 0 : found.db;
    await this.prepare({ kind: 'confirm', control, amountDb, cap: DEFAULTS.confirmCap });
  }

  async save(record: TrialRecord, format: 'csv' | 'json'): Promise<void> {
    const isCsv = format === 'csv';
    const type = isCsv ? 'text/csv' : 'application/json';
    const fileName = `blind trial ${record.startedAt.slice(0, 16).replaceAll(':', '.').replace('T', ' ')}.${format}`;
    try {
      const blob = new Blob([isCsv ? toCsv(record) : toJson(record)], { type });
      await fileSave(blob, { fileName, extensions: [`.${format}`] });
    } catch (fault) {
      // A closed dialog is no fault.
      if (fault instanceof DOMException && fault.name === 'AbortError') return;
      this.#host.say('fault', `The trial was not saved: ${sentence(fault)}`);
    }
  }

  close(): void {
    this.cancel();
    this.stop();
    this.#player.close();
    this.#outcome = null;
    this.#refusal = null;
    this.#to('closed');
  }

  show(earlier: TrialOutcome): void {
    if (this.busy) return;
    this.#outcome = outcomeOf(this.#host.document, earlier.record, true);
    this.#refusal = null;
    this.#to('done');
  }

  remove(earlier: TrialOutcome): void {
    const kept = this.#host.document.trials.find((trial) => this.#earlierOutcome(trial) === earlier);
    if (this.busy || !kept) return;
    this.#host.dispatch({ type: 'remove-trial', trialId: kept.id });
    this.notify();
  }

  async #prepared(question: TrialQuestion, signal: AbortSignal): Promise<TrialRun> {
    const { document } = this.#host;
    const tools = this.#tools;
    const { sampleRate } = document;
    const schedulerOf = (gainDb: (id: string) => number | null, catchTrials: boolean) =>
      new TrialScheduler(planOf(question, document, gainDb, catchTrials), {
        bits: tools.bits,
        startedAt: tools.date(),
        software: tools.program,
        device: `The browser's output at ${sampleRate} Hz, monitor level ${this.#host.monitorDb} dB`,
        programme: this.#programme(),
      });
    // A question that can't be asked is refused before anything is rendered.
    schedulerOf(() => null, false);
    const asked = settingsOf(question, document);
    const loop = this.loop;
    const playing = exportSides(asItStands(document)).b;
    const loops = new Map(
      playing.channels.flatMap(({ id }) => {
        const planes = this.#host.planes().get(id);
        return planes ? [[id, loopOf(planes, loop, sampleRate)] as const] : [];
      }),
    );
    const request = { document: playing, loops, ...asked, headroomDb: LOUDER_DB };
    const sounds = await tools.render(request, (share) => this.#setProgress(share), signal);
    const gains = new Map(
      sounds.sounds.filter(({ overdriven }) => !overdriven).map((one) => [one.id, one.matchGainDb]),
    );
    return new TrialRun({
      scheduler: schedulerOf((id) => gains.get(id) ?? null, sounds.canCatch),
      sounds,
      sampleRate,
      player: this.#player,
      monitor: () => (this.#host.monitorDb <= -60 ? 0 : dbToGain(Math.min(0, this.#host.monitorDb))),
      now: () => tools.now(),
      wait: (ms) => tools.wait(ms),
      changed: () => this.notify(),
    });
  }

  /** Once a run has ended: what was found, kept with the session. */
  #finish(): void {
    const run = this.#run;
    this.#run = null;
    if (!run) return;
    const record = run.reveal();
    if (!record.trials.some(({ answer }) => answer !== null)) {
      this.#to('setup');
      return;
    }
    if (!this.#host.keep(record)) {
      this.#host.say(
        'warning',
        'This session has no room for another blind trial. Save this one as a file, or remove an earlier one.',
      );
    }
    this.#outcome = outcomeOf(this.#host.document, record);
    this.#to('done');
  }

  /** Each is evaluated once; what it offers to apply is looked at again when it is shown. */
  #earlierOutcome(trial: KeptTrial): TrialOutcome | null {
    const known = this.#outcomes.get(trial);
    if (known !== undefined) return known;
    const record = keptRecord(trial);
    const outcome = record && outcomeOf(this.#host.document, record, true);
    this.#outcomes.set(trial, outcome);
    return outcome;
  }

  #programme(): string {
    const { name } = this.#host.document;
    const { startSeconds, endSeconds } = this.loop;
    return `${name}, ${startSeconds.toFixed(1)} to ${endSeconds.toFixed(1)} s`;
  }

  #setProgress(share: number): void {
    this.#progress = share;
    this.notify();
  }

  #to(phase: TrialStore['phase']): void {
    this.#phase = phase;
    this.notify();
  }
}
