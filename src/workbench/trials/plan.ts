/** From a question to what must be rendered for it, and to the plan of its trials. */

import { DriveSearch } from '../../blind/drive-search.ts';
import type { Stimulus, TrialPlan } from '../../blind/trial-plan.ts';
import { AMOUNT_SIDE, CLEAN_SIDE, DEFAULTS } from '../../blind/trial-plan.ts';
import { amountText } from '../../blind/trial-words.ts';
import type { TrialSetting } from '../../measure/trial/trial-set.ts';
import { TrialError } from '../../measure/trial/trial-set.ts';
import type { SessionDocument } from '../../session/document.ts';
import type { TrialControl, TrialQuestion } from '../../stores/trial-store.ts';
import { controlId, controlName, soundId, soundName } from './names.ts';
import type { Racks } from './settings.ts';
import { amountRacks, soundRacks } from './settings.ts';

export interface Prepared {
  readonly settings: readonly TrialSetting[];
  /** Ids of settings that have to sound different. */
  readonly different: readonly (readonly [string, string])[];
  /** Ids of settings of which a catch trial may play the overdriven sound. */
  readonly overdriven: readonly string[];
}

/** @throws TrialError where the question names something that isn't in the session, or can't be asked */
export function settingsOf(question: TrialQuestion, document: SessionDocument): Prepared {
  if (question.kind === 'abx' || question.kind === 'preference') {
    const settings = question.sounds.map((sound) => ({
      id: soundId(sound),
      name: soundName(document, sound),
      racks: present(soundRacks(document, sound)),
    }));
    const ids = settings.map(({ id }) => id);
    const twice = settings.find(({ id }, i) => ids.indexOf(id) !== i);
    if (twice) throw new TrialError(`"${twice.name}" is chosen twice. Choose another sound in one place.`);
    const different = ids.flatMap((id, i) => ids.slice(i + 1).map((other) => [id, other] as const));
    return { settings, different, overdriven: ids };
  }
  const { control } = question;
  const amounts = question.kind === 'confirm' ? [null, question.amountDb] : [...searchOf(question).amounts];
  const settings = amounts.map((amount) => ({
    id: soundIdOf(amount === null ? CLEAN_SIDE : AMOUNT_SIDE, amount),
    name: amount === null ? 'Clean' : `${controlName(document, control)} ${amountText(amount)}`,
    racks: present(amountRacks(document, control, amount)),
  }));
  const ends = [settings[0].id, settings[settings.length - 1].id] as const;
  // As `PairOrder` draws them.
  return { settings, different: [ends], overdriven: ends };
}

/**
 * The plan with the gains that were found.
 * @param gainDb of a setting, by its id
 */
export function planOf(
  question: TrialQuestion,
  document: SessionDocument,
  gainDb: (id: string) => number | null,
  catchTrials: boolean,
): TrialPlan {
  const { training } = DEFAULTS;
  switch (question.kind) {
    case 'abx': {
      const [first, second] = question.sounds.map(side);
      return { kind: 'abx', training, catchTrials, sides: [first, second], rule: question.rule };
    }
    case 'preference':
      return { kind: 'preference', training, catchTrials, sides: question.sounds.map(side), rule: question.rule };
    case 'drive-search': {
      const { min, max, trials } = question;
      const control = controlOf(question.control);
      return { kind: 'drive-search', training, catchTrials, control, min, max, trials, widthDb: DEFAULTS.driveWidthDb };
    }
    case 'confirm': {
      const { amountDb, cap } = question;
      // Whoever confirms has just searched.
      return { kind: 'confirm', training: 0, catchTrials, control: controlOf(question.control), amountDb, cap };
    }
  }

  function side(sound: Parameters<typeof soundId>[0]) {
    const id = soundId(sound);
    return { id, name: soundName(document, sound), matchGainDb: gainDb(id) };
  }
  function controlOf(control: TrialControl) {
    return { id: controlId(control), name: controlName(document, control), unit: 'dB' };
  }
}

/** The setting that a stimulus plays. */
export function settingOf({ side, amountDb }: Stimulus): string {
  return soundIdOf(side, amountDb);
}

function soundIdOf(side: string, amountDb: number | null): string {
  return amountDb === null ? side : `${side} ${amountDb}`;
}

function searchOf(question: Extract<TrialQuestion, { kind: 'drive-search' }>): DriveSearch {
  return new DriveSearch({ ...question, widthDb: DEFAULTS.driveWidthDb });
}

function present(racks: Racks | null): Racks {
  if (!racks) throw new TrialError('What was chosen is not in the session any more. Choose again.');
  return racks;
}
