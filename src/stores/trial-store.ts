/** What the blind trial's screen receives by context. */
import type { TrialRule } from '../blind/abx.ts';
import type { TrialState } from '../blind/scheduler.ts';
import type { Slot, TrialRecord } from '../blind/trial-record.ts';
import type { Analysis } from '../blind/trial-results.ts';
import type { RackId, Region } from '../session/document.ts';
import type { Observable } from './observable.ts';

export type { TrialRule } from '../blind/abx.ts';
export type { TrialState } from '../blind/scheduler.ts';
export type { DiscardReason, RecordedTrial, Slot, TrialRecord } from '../blind/trial-record.ts';
export type { Analysis as TrialAnalysis } from '../blind/trial-results.ts';

/** One sound of a trial: the session as it stands, but for what is said here. */
export type TrialSound =
  /** The whole session in a setting of the switch: "clean", "current" or a scene's id. */
  | { readonly what: 'setting'; readonly setting: string }
  /** One rack as in a setting ("clean" empties it); all others as they stand. */
  | { readonly what: 'rack'; readonly rackId: RackId; readonly setting: string }
  /** One stage switched off. */
  | { readonly what: 'stage-off'; readonly rackId: RackId; readonly stageId: string }
  /** One stage with one parameter at another value. */
  | {
      readonly what: 'stage';
      readonly rackId: RackId;
      readonly stageId: string;
      readonly parameterId: string;
      readonly value: number | string;
    };

/** What a drive search turns. */
export type TrialControl =
  /** Amounts are the stage's drive, dB; clean is the stage switched off. */
  | { readonly what: 'stage'; readonly rackId: RackId; readonly stageId: string }
  /** Amounts are added to every drive of the rack, dB; clean is the rack switched off. */
  | { readonly what: 'rack'; readonly rackId: RackId }
  /** Amounts are of all drives, dB; clean is no colour anywhere. */
  | { readonly what: 'all' };

/** What is to be found out. */
export type TrialQuestion =
  | { readonly kind: 'abx'; readonly sounds: readonly [TrialSound, TrialSound]; readonly rule: TrialRule }
  /** Two to eight sounds; more than two take the fixed rule. */
  | { readonly kind: 'preference'; readonly sounds: readonly TrialSound[]; readonly rule: TrialRule }
  | {
      readonly kind: 'drive-search';
      readonly control: TrialControl;
      readonly min: number;
      readonly max: number;
      readonly trials: number;
    }
  | { readonly kind: 'confirm'; readonly control: TrialControl; readonly amountDb: number; readonly cap: number };

/** Something that can be chosen, with the name it has on the screen. */
export interface TrialChoice<T> {
  readonly id: string;
  readonly name: string;
  readonly value: T;
}

/** What a control can be tried at. */
export interface ControlChoice extends TrialChoice<TrialControl> {
  /** Range that the control can take, dB. */
  readonly least: number;
  readonly greatest: number;
  /** A sensible range to search, dB. */
  readonly min: number;
  readonly max: number;
  /** Where it stands now, dB. */
  readonly nowDb: number;
}

/** A stage that can be tried at another setting. */
export interface TrialStage {
  readonly rackId: RackId;
  readonly stageId: string;
  readonly name: string;
  /** Of the engine's catalogue. */
  readonly kind: string;
  readonly params: Readonly<Record<string, number | string>>;
}

/** The end of a trial. */
export interface TrialOutcome {
  readonly record: TrialRecord;
  readonly analysis: Analysis;
  /** One to three sentences that say what was found and what was not. */
  readonly sentence: string;
  /** What "apply" would do, in words ("Set the drive of Soft clip on Melodica to −3.5 dB"); null where there is nothing to apply. */
  readonly apply: string | null;
  /** True once it was applied. */
  readonly applied: boolean;
  /** True where confirm trials can follow: a drive search that found an amount. */
  readonly canConfirm: boolean;
}

/**
 * Blind trials. Nothing here tells which sound is which before the end: `state` is the scheduler's public state, `slot`
 * the one that the listener chose to hear.
 *
 * closed → open() → setup → prepare(question) → preparing → running → (answers …) → done → close() → closed
 * A refusal in preparing, and cancel(), go back to setup; a refusal leaves `refusal` set. From done, open() leads to
 * setup for another trial; from setup, show() leads to done with an earlier outcome.
 */
export interface TrialStore extends Observable {
  readonly phase: 'closed' | 'setup' | 'preparing' | 'running' | 'done';

  /** Sounds and controls that this session has, for the setup. */
  readonly sounds: readonly TrialChoice<TrialSound>[];
  readonly controls: readonly ControlChoice[];
  /** Stages that are heard, as they are set. */
  readonly stages: readonly TrialStage[];
  /** What will be looped: the session's loop where it is 8 to 15 s long, otherwise a stretch that `setLoop` moves. */
  readonly loop: Region;
  setLoop(startSeconds: number, lengthSeconds: number): void;
  readonly durationSeconds: number;

  /** Before the start, in words: how many must be right, what a listener of 70 % and of 80 % would show, how long it takes. */
  expectation(question: TrialQuestion): readonly string[];

  open(): void;
  /** Renders and matches every sound. Progress by `progress`. */
  prepare(question: TrialQuestion): Promise<void>;
  /** Share of the preparing that is done, 0 to 1. */
  readonly progress: number;
  /** Why it could not start: a sentence that says what to do. */
  readonly refusal: string | null;
  /** Gives up preparing. */
  cancel(): void;

  readonly state: TrialState | null;
  /** The slot that sounds; null between trials and in pauses. */
  readonly slot: Slot | null;
  /** A sentence about what just happened (a pair discarded and why); null otherwise. */
  readonly remark: string | null;
  /** True while the sound is held (tab hidden, device lost): `next` goes on. */
  readonly held: boolean;
  /** Silence at once. The pair stays as it is; setMuted(false) and hear() release it. */
  readonly muted: boolean;
  setMuted(on: boolean): void;
  /** Starts the next pair; sound starts with the first slot. */
  next(): Promise<void>;
  /** Hears another slot, from the same place of the loop. */
  hear(slot: Slot): void;
  answer(choice: 'first' | 'second'): void;
  /** Ends early, with what there is. */
  stop(): void;

  readonly outcome: TrialOutcome | null;
  /** Applies what was found to the session, as one step of undo. */
  apply(): void;
  /** Confirm trials of the found amount. */
  confirm(): Promise<void>;
  /** Saves the record of the outcome, or of an earlier trial of this session. */
  save(record: TrialRecord, format: 'csv' | 'json'): Promise<void>;
  /** Closes the sheet; a trial that runs is stopped, and what was answered is kept. */
  close(): void;

  /** Trials that this session keeps, newest first. */
  readonly earlier: readonly TrialOutcome[];
  /** An earlier outcome becomes `outcome`, to be read, saved or applied: setup → done. */
  show(earlier: TrialOutcome): void;
  /** Takes one of `earlier` out of the session, as one step of undo. */
  remove(earlier: TrialOutcome): void;
}
