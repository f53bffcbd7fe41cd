import { html, LitElement, nothing } from 'lit';
import { customElement } from 'lit/decorators.js';
import type { TrialAnalysis, TrialOutcome, TrialStore } from '../../stores/trial-store.ts';
import { base } from '../base/base.styles.ts';
import { callout } from '../base/callout.styles.ts';
import { disclosure } from '../base/disclosure.styles.ts';
import { figureList } from '../base/figure-list.styles.ts';
import { figureTable } from '../base/figure-table.styles.ts';
import { trialContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { listeningNotes } from './listening-notes.ts';
import './outcome-plot.ts';
import { outcomeRows } from './outcome-rows.ts';
import { conditionsOf, renderDraws, renderLog, subjectOf } from './trial-log.ts';
import { styles } from './trial-outcome.styles.ts';

/** What a trial found: the sentence, the figures and the drawing, how one listened, and every pair. */
@customElement('trial-outcome')
export class TrialOutcomeSheet extends LitElement {
  static override styles = [base, callout, disclosure, figureTable, figureList, styles];

  @store(trialContext) private trials?: TrialStore;

  override firstUpdated(): void {
    this.renderRoot.querySelector<HTMLElement>('.sentence')?.focus();
  }

  override render() {
    const outcome = this.trials?.outcome;
    if (!outcome) return nothing;
    const { record, analysis, sentence } = outcome;
    const tall = analysis.result.kind === 'drive-search';
    const drawn = analysis.result.kind !== 'preference' || analysis.result.scaleRefused === null;
    const figures = html`<section aria-labelledby="figures">
      <h2 id="figures">Figures</h2>
      ${renderRows(analysis.result)} ${renderWins(analysis.result)}
    </section>`;
    return html`<p class="subject">${subjectOf(record)}</p>
      <p class="sentence" tabindex="-1">${unbroken(sentence)}</p>
      <p class="small">${conditionsOf(record)}</p>
      ${this.renderActions(outcome)}
      <div class="columns">
        <div class="main">
          ${drawn ? html`<outcome-plot .outcome=${outcome}></outcome-plot>` : nothing}
          ${tall ? nothing : figures}
        </div>
        <div class="aside">
          ${tall ? figures : nothing}
          <section aria-labelledby="listened">
            <h2 id="listened">How you listened</h2>
            <ul>
              ${listeningNotes(analysis, record).map((note) => html`<li>${note}</li>`)}
            </ul>
          </section>
        </div>
      </div>
      <details>
        <summary>Every pair, ${record.trials.length}</summary>
        <div class="scroll" tabindex="0" role="group" aria-label="Every pair">${renderLog(record)}</div>
      </details>
      <details>
        <summary>Every draw, ${record.draws.length}</summary>
        <div class="scroll" tabindex="0" role="group" aria-label="Every draw">${renderDraws(record)}</div>
      </details>`;
  }

  private renderActions({ record, apply, applied, canConfirm }: TrialOutcome) {
    const trials = this.trials!;
    return html`<div class="actions">
      ${
        apply === null
          ? nothing
          : html`<button class="primary" aria-disabled=${applied} @click=${() => trials.apply()}>${apply}</button>`
      }
      ${
        canConfirm
          ? html`<button
              title="New pairs of this amount against clean: only they can show that it helps"
              @click=${() => trials.confirm()}
            >
              Confirm it against clean
            </button>`
          : nothing
      }
      <button @click=${() => trials.save(record, 'csv')}>Save as CSV…</button>
      <button @click=${() => trials.save(record, 'json')}>Save as JSON…</button>
      <button @click=${() => trials.open()}>Another trial</button>
      <p class="small" role="status">${applied ? 'Done. Undo in the session takes it back.' : ''}</p>
    </div>`;
  }
}

/** A figure stays on a line with its unit. */
function unbroken(sentence: string): string {
  return sentence.replace(/(\d) (%|dB)/g, '$1\u00a0$2');
}

function renderRows(result: TrialAnalysis['result']) {
  return html`<dl>
    ${outcomeRows(result).map(
      ({ name, text, about, warns }) => html`<div class=${warns ? 'callout warning' : nothing}>
        <dt>${name}<small>${about}</small></dt>
        <dd>${text}</dd>
      </div>`,
    )}
  </dl>`;
}

/** Who was chosen over whom how often. */
function renderWins(result: TrialAnalysis['result']) {
  if (result.kind !== 'preference') return nothing;
  const { names, wins } = result;
  return html`<div class="scroll" tabindex="0" role="group" aria-label="Choices">
    <table class="wins">
      <caption>
        Chosen over
      </caption>
      <thead>
        <tr>
          <td></td>
          ${names.map((name) => html`<th scope="col">${name}</th>`)}
        </tr>
      </thead>
      <tbody>
        ${names.map(
          (name, i) => html`<tr>
            <th scope="row">${name}</th>
            ${wins[i].map((count, j) => html`<td>${i === j ? '' : count}</td>`)}
          </tr>`,
        )}
      </tbody>
    </table>
  </div>`;
}

declare global {
  interface HTMLElementTagNameMap {
    'trial-outcome': TrialOutcomeSheet;
  }
}
