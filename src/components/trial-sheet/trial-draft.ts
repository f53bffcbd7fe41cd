import { DEFAULTS, LEAST_RANGE_DB } from '../../blind/trial-plan.ts';
import { findStageKind } from '../../engine/stages/catalogue.ts';
import { CLEAN, CURRENT, LIMITS } from '../../session/document.ts';
import type {
  ControlChoice,
  TrialChoice,
  TrialQuestion,
  TrialSound,
  TrialStage,
  TrialStore,
} from '../../stores/trial-store.ts';

export type QuestionKind = 'abx' | 'preference' | 'drive-search';

/** Length of the loop that is heard, s. */
export const [SHORTEST_LOOP, LONGEST_LOOP] = LIMITS.trialLoopSeconds;

/** Id of the sound that is put together here: one stage at another setting. */
export const OWN_SOUND = 'own';

type OwnSound = Extract<TrialSound, { what: 'stage' }>;

/** What stands in the setup. It is kept while one goes from trial to trial, also what isn't shown at the moment. */
export interface TrialDraft {
  readonly kind: QuestionKind;
  /** Ids of sounds. */
  readonly pair: readonly [string, string];
  readonly liked: readonly string[];
  /** What `OWN_SOUND` is; null where there is no stage. */
  readonly own: OwnSound | null;
  readonly controlId: string;
  /** Amounts between which to search, dB. */
  readonly min: number;
  readonly max: number;
  readonly rule: 'fixed' | 'any-time';
  readonly trials: number;
  readonly driveTrials: number;
}

type Lists = Pick<TrialStore, 'sounds' | 'controls' | 'stages'>;

/** Everything that can be chosen as a sound. */
export function soundsOf(
  { own }: Pick<TrialDraft, 'own'>,
  { sounds }: Pick<Lists, 'sounds'>,
): readonly TrialChoice<TrialSound>[] {
  return own ? [...sounds, { id: OWN_SOUND, name: 'One stage at another setting…', value: own }] : sounds;
}

/** A stage with one parameter as it is set, or at its default; the first one without `parameterId`. */
export function ownSound({ rackId, stageId, kind, params }: TrialStage, parameterId?: string): OwnSound | null {
  const { parameters = [] } = findStageKind(kind) ?? {};
  const wanted = parameterId ?? parameters.find(({ id }) => id === 'drive')?.id;
  const parameter = parameters.find(({ id }) => id === wanted) ?? parameters[0];
  if (!parameter) return null;
  return {
    what: 'stage',
    rackId,
    stageId,
    parameterId: parameter.id,
    value: params[parameter.id] ?? parameter.default,
  };
}

export function firstDraft({ sounds, controls, stages }: Lists): TrialDraft {
  const setting = (wanted: string, otherwise: number) =>
    sounds.find(({ value }) => value.what === 'setting' && value.setting === wanted)?.id ?? sounds[otherwise]?.id ?? '';
  const pair = [setting(CLEAN, 0), setting(CURRENT, 1)] as const;
  const control = controls[0];
  return {
    kind: 'abx',
    pair,
    liked: pair,
    own: stages[0] ? ownSound(stages[0]) : null,
    controlId: control?.id ?? '',
    min: control?.min ?? 0,
    max: control?.max ?? 0,
    rule: 'fixed',
    trials: DEFAULTS.fixedTrials,
    driveTrials: DEFAULTS.driveTrials,
  };
}

/** The draft without what the session no longer has. */
export function stillThere(draft: TrialDraft, lists: Lists): TrialDraft {
  const fresh = firstDraft(lists);
  const hasOwn = lists.stages.some(
    ({ rackId, stageId }) => rackId === draft.own?.rackId && stageId === draft.own.stageId,
  );
  const own = hasOwn ? draft.own : fresh.own;
  const known = new Set(soundsOf({ own }, lists).map(({ id }) => id));
  const liked = draft.liked.filter((id) => known.has(id));
  const control = lists.controls.find(({ id }) => id === draft.controlId);
  return {
    ...draft,
    pair: [
      known.has(draft.pair[0]) ? draft.pair[0] : fresh.pair[0],
      known.has(draft.pair[1]) ? draft.pair[1] : fresh.pair[1],
    ],
    liked: liked.length >= 2 ? liked : fresh.liked,
    own,
    ...(control ? {} : { controlId: fresh.controlId, min: fresh.min, max: fresh.max }),
  };
}

/** Another control, with the range that suits it. */
export function withControl(draft: TrialDraft, { id, min, max }: ControlChoice): TrialDraft {
  return { ...draft, controlId: id, min, max };
}

/** Several sounds are compared in a number of pairs that is fixed beforehand. */
export function ruleOf({ kind, liked, rule }: TrialDraft): TrialDraft['rule'] {
  return kind === 'preference' && liked.length > 2 ? 'fixed' : rule;
}

/** The draft as a question for the store, or a sentence that says what is missing. */
export function questionOf(draft: TrialDraft, lists: Lists): TrialQuestion | string {
  const rule =
    ruleOf(draft) === 'fixed'
      ? ({ type: 'fixed', trials: draft.trials } as const)
      : ({ type: 'any-time', cap: DEFAULTS.anyTimeCap } as const);
  if (draft.kind === 'drive-search') {
    const control = lists.controls.find(({ id }) => id === draft.controlId);
    if (!control) return 'This session has no drive to turn. Add a stage first.';
    const { min, max, driveTrials: trials } = draft;
    if (max - min < LEAST_RANGE_DB) return `Choose a greatest amount at least ${LEAST_RANGE_DB} dB above the least.`;
    return { kind: 'drive-search', control: control.value, min, max, trials };
  }
  const ids = draft.kind === 'abx' ? draft.pair : draft.liked;
  const known = soundsOf(draft, lists);
  const sounds = ids.map((id) => known.find((sound) => sound.id === id)).filter((one) => one !== undefined);
  if (sounds.length < 2) return 'There is nothing to compare yet. Add a stage first.';
  const twice = sounds.find((sound, i) => sounds.indexOf(sound) !== i);
  if (twice) return `“${twice.name}” is chosen twice. Choose another sound in one place.`;
  const values = sounds.map(({ value }: TrialChoice<TrialSound>) => value);
  return draft.kind === 'abx'
    ? { kind: 'abx', sounds: [values[0], values[1]], rule }
    : { kind: 'preference', sounds: values, rule };
}
