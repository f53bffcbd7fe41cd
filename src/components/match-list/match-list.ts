import { html, LitElement, nothing } from 'lit';
import { customElement, state } from 'lit/decorators.js';
import { findRack, MIX_ID, type RackId, rackIds, type SessionDocument } from '../../session/document.ts';
import type { AnalysisStore, MatchFigures } from '../../stores/analysis-store.ts';
import { isStale } from '../../stores/analysis-store.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { base } from '../base/base.styles.ts';
import { disclosure } from '../base/disclosure.styles.ts';
import { figureTable } from '../base/figure-table.styles.ts';
import { analysisContext, sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { figure, NO_FIGURE } from '../format/figures.ts';
import { mismatchSentence } from '../matched-switch/match-words.ts';
import { rackName } from '../rack-sheet/rack-facts.ts';
import { styles } from './match-list.styles.ts';

/** How every rack that has stages is matched, and the whole session: gain, what it leaves, and its short-term spread. */
@customElement('match-list')
export class MatchList extends LitElement {
  static override styles = [base, figureTable, disclosure, styles];

  @store(analysisContext) private analysis?: AnalysisStore;
  @store(sessionContext) private session?: SessionStore;
  @state() private open = false;

  override render() {
    if (!this.session || !this.analysis) return nothing;
    return html`<details
      ?open=${this.open}
      @toggle=${(event: Event) => {
        this.open = (event.target as HTMLDetailsElement).open;
      }}
    >
      <summary>Match, rack by rack</summary>
      ${this.open ? this.renderTable(this.session.document, this.analysis) : nothing}
    </details>`;
  }

  private renderTable(document: SessionDocument, analysis: AnalysisStore) {
    const ids = rackIds(document).filter((id) => (findRack(document, id)?.stages.length ?? 0) > 0);
    const missed = document.matching ? mismatchSentence(document, analysis, ids) : null;
    return html`<table class=${isStale(analysis) ? 'stale' : 'fresh'}>
        <caption class="hidden">Match of every rack that has stages</caption>
        <thead>
          <tr>
            <td></td>
            <th scope="col">gain dB</th>
            <th scope="col">off LU</th>
            <th scope="col" title="5th and 95th percentile of the short-term loudness difference">spread LU</th>
          </tr>
        </thead>
        <tbody>
          ${ids.map((id) => this.renderRow(id, rackName(document, id), analysis.rack(id)?.match ?? null))}
          ${this.renderRow(null, 'Session', analysis.mixMatch)}
        </tbody>
      </table>
      ${missed === null ? nothing : html`<p class="small missed">${missed}</p>`}
      ${document.matching ? nothing : html`<p class="small">Matching is off: these gains are not applied.</p>`}`;
  }

  /** @param id the rack that its name leads to */
  private renderRow(id: RackId | null, name: string, match: MatchFigures | null) {
    const label = id === MIX_ID ? 'Mix rack' : name;
    return html`<tr>
      <th scope="row">
        ${
          id === null
            ? label
            : html`<button class="quiet" title=${`Show ${name}`} @click=${() => this.session?.selectRack(id)}>${label}</button>`
        }
      </th>
      <td>${figure(match?.gainDb, { digits: 2, signed: true })}</td>
      <td class=${match && !match.matched ? 'missed' : ''}>${residual(match)}</td>
      <td>${spread(match)}</td>
    </tr>`;
  }
}

function residual(match: MatchFigures | null) {
  if (match?.quality !== 'provisional') return figure(match?.residualLu, { digits: 2 });
  return html`<span title="Provisional; the exact gain follows">±${figure(match.errorLu, { digits: 2 })}</span>`;
}

function spread(match: MatchFigures | null): string {
  const [low, high] = [match?.spreadLowLu, match?.spreadHighLu].map((lu) => figure(lu, { digits: 1, signed: true }));
  return low === NO_FIGURE && high === NO_FIGURE ? NO_FIGURE : `${low} ${high}`;
}

declare global {
  interface HTMLElementTagNameMap {
    'match-list': MatchList;
  }
}
