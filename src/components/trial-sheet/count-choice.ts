import { html, nothing } from 'lit';
import { DEFAULTS } from '../../blind/trial-plan.ts';
import type { ContinuousParameter } from '../../engine/parameters.ts';
import '../value-slider/value-slider.ts';
import { ruleOf, type TrialDraft } from './trial-draft.ts';

/** How the number of pairs is decided: fixed beforehand, or whenever the answers are clear. */
export function renderCount(draft: TrialDraft, set: (change: Partial<TrialDraft>) => void) {
  if (draft.kind === 'drive-search') {
    return html`<value-slider
        .declaration=${driveCount}
        .value=${draft.driveTrials}
        @value-change=${(event: CustomEvent<{ value: number }>) => set({ driveTrials: Math.round(event.detail.value) })}
      ></value-slider>
      <p class="small">It ends earlier when the best amount is known to within ${DEFAULTS.driveWidthDb} dB.</p>`;
  }
  const rule = ruleOf(draft);
  const several = draft.kind === 'preference' && draft.liked.length > 2;
  return html`
    <div class="rules">
      <label>
        <input
          type="radio"
          name="rule"
          value="fixed"
          .checked=${rule === 'fixed'}
          @change=${() => set({ rule: 'fixed' })}
        /><span>A number fixed beforehand</span>
      </label>
      <label>
        <input
          type="radio"
          name="rule"
          value="any-time"
          ?disabled=${several}
          .checked=${rule === 'any-time'}
          @change=${() => set({ rule: 'any-time' })}
        /><span>Until it is clear</span>
      </label>
    </div>
    ${
      rule === 'fixed'
        ? html`<value-slider
              .declaration=${fixedCount}
              .value=${draft.trials}
              @value-change=${(event: CustomEvent<{ value: number }>) => set({ trials: Math.round(event.detail.value) })}
            ></value-slider>
            <p class="small">
              ${
                several
                  ? `${draft.liked.length} sounds make ${pairsOf(draft.liked.length)} different pairs. More than two sounds take a fixed number.`
                  : 'Go on to the end: stopped early, a fixed number allows no conclusion.'
              }
            </p>`
        : html`<p class="small">
            You may stop at any time. It ends by itself when the answers are clear, at the latest after
            ${DEFAULTS.anyTimeCap} pairs.${draft.kind === 'abx' ? ' The score stands on the screen.' : nothing}
          </p>`
    }
  `;
}

function pairsOf(sounds: number): number {
  return (sounds * (sounds - 1)) / 2;
}

const common = { place: 'face', type: 'continuous', unit: '', taper: 'linear', step: 1, digits: 0 } as const;

const fixedCount: ContinuousParameter = {
  ...common,
  id: 'trials',
  label: 'Pairs that count',
  about: 'More pairs show smaller differences.',
  min: 5,
  max: 100,
  default: DEFAULTS.fixedTrials,
};

const driveCount: ContinuousParameter = {
  ...common,
  id: 'driveTrials',
  label: 'Pairs at most',
  about: 'More pairs make the interval narrower.',
  min: 24,
  max: DEFAULTS.driveTrials,
  default: DEFAULTS.driveTrials,
};
