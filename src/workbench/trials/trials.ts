import { DEFAULTS } from '../../blind/trial-plan.ts';
import type { Slot, TrialRecord } from '../../blind/trial-record.ts';
import type { Region } from '../../session/document.ts';
import { Notifier } from '../../stores/observable.ts';
import type { TrialOutcome, TrialQuestion, TrialState, TrialStore } from '../../stores/trial-store.ts';
import { sentence } from '../notices.ts';
import { controlChoices, soundChoices, stageChoices } from './choices.ts';
import { EarlierOutcomes } from './earlier-outcomes.ts';
import { expectationOf } from './expectation.ts';
import { outcomeOf } from './outcome.ts';
import { preparedRun } from './preparing.ts';
import { controlOf, foundAmount, resultCommand } from './result-command.ts';
import { saveRecord } from './save-record.ts';
import { loopWithin, usualLoop } from './trial-loop.ts';
import type { PairPlayer, TrialHost, TrialTools } from './trial-parts.ts';
import type { TrialRun } from './trial-run.ts';

/**
 * Blind trials of a session as the screen sees them (see `TrialStore` for the phases). What belongs to which slot is
 * known to the run and the player alone, in private fields.
 */
export class Trials extends Notifier implements TrialStore {
  readonly #host: TrialHost;
  readonly #tools: TrialTools;
  readonly #player: PairPlayer;
  readonly #earlier = new EarlierOutcomes();
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
  get stages(): TrialStore['stages'] {
    return stageChoices(this.#host.document);
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
    return this.#earlier.of(this.#host.document);
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
      const run = await preparedRun(
        {
          question,
          loop: this.loop,
          host: this.#host,
          tools: this.#tools,
          player: this.#player,
          onProgress: (share) => {
            if (preparing.signal.aborted) return;
            this.#progress = share;
            this.notify();
          },
          changed: () => this.notify(),
        },
        preparing.signal,
      );
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
    try {
      await saveRecord(record, format);
    } catch (fault) {
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
    const trialId = this.#earlier.idOf(this.#host.document, earlier);
    if (this.busy || trialId === null) return;
    this.#host.dispatch({ type: 'remove-trial', trialId });
    this.notify();
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

  #to(phase: TrialStore['phase']): void {
    this.#phase = phase;
    this.notify();
  }
}
