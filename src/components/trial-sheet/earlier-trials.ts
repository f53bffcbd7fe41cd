import { html, LitElement, nothing } from 'lit';
import { customElement } from 'lit/decorators.js';
import type { TrialStore } from '../../stores/trial-store.ts';
import { base } from '../base/base.styles.ts';
import { trialContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { icons } from '../icons/icons.ts';
import { styles } from './earlier-trials.styles.ts';
import { dateOf, subjectOf } from './trial-log.ts';

/** The trials that this session keeps, newest first, to be opened again. */
@customElement('earlier-trials')
export class EarlierTrials extends LitElement {
  static override styles = [base, styles];

  @store(trialContext) private trials?: TrialStore;

  override render() {
    const { trials } = this;
    if (!trials || trials.earlier.length === 0) return nothing;
    return html`<section aria-labelledby="earlier">
      <h2 id="earlier">Earlier trials of this session</h2>
      <ul>
        ${trials.earlier.map((outcome) => {
          const date = dateOf(outcome.record.startedAt);
          return html`<li>
            <span class="date">${date}</span>
            <span class="found"><small>${subjectOf(outcome.record)}</small>${outcome.sentence}</span>
            <button aria-label=${`Open the trial of ${date}`} @click=${() => trials.show(outcome)}>Open</button>
            <button
              class="icon quiet"
              title="Take this trial out of the session (undo in the session brings it back)"
              @click=${() => trials.remove(outcome)}
            >
              ${icons.remove}<span class="hidden">Remove the trial of ${date}</span>
            </button>
          </li>`;
        })}
      </ul>
    </section>`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'earlier-trials': EarlierTrials;
  }
}
