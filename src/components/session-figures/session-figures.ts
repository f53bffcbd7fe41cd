import { html, LitElement, nothing } from 'lit';
import { customElement } from 'lit/decorators.js';
import { styleMap } from 'lit/directives/style-map.js';
import type { AnalysisStore, SideFigures } from '../../stores/analysis-store.ts';
import { isStale } from '../../stores/analysis-store.ts';
import type { PlayerStore } from '../../stores/player-store.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { base } from '../base/base.styles.ts';
import { figureTable } from '../base/figure-table.styles.ts';
import { analysisContext, playerContext, sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { change, clock, type FigureFormat, figureText } from '../format/figures.ts';
import '../match-list/match-list.ts';
import { compared, sideWords } from '../matched-switch/compared.ts';
import { styles } from './session-figures.styles.ts';

interface Row {
  readonly name: string;
  readonly unit: string;
  readonly about: string;
  readonly format: FigureFormat;
  readonly of: (side: SideFigures) => number | null;
  /** A difference of levels near nothing says nothing. */
  readonly withoutChange?: boolean;
}

const rows: readonly Row[] = [
  {
    name: 'Loudness',
    unit: 'LUFS',
    about: 'Integrated loudness, BS.1770',
    format: { digits: 1 },
    of: (side) => side.integratedLufs,
  },
  {
    name: 'True peak',
    unit: 'dBTP',
    about: 'Highest level between and at the samples',
    format: { digits: 1 },
    of: (side) => side.truePeakDbtp,
  },
  {
    name: 'Asymmetry',
    unit: 'dB',
    about: 'Highest positive peak against the highest negative one: how lopsided the waveform is',
    format: { digits: 1, signed: true },
    of: ({ positivePeakDbfs, negativePeakDbfs }) => change(negativePeakDbfs, positivePeakDbfs),
  },
  {
    name: 'PLR',
    unit: 'dB',
    about: 'True peak to integrated loudness ratio',
    format: { digits: 1 },
    of: (side) => side.plrDb,
  },
  {
    name: 'Limiting to −14',
    unit: 'dB',
    about: 'Peak reduction a limiter must do to bring the mix to −14 LUFS at −1 dBTP',
    format: { digits: 1 },
    of: (side) => side.limitingDb,
  },
  {
    name: 'DC',
    unit: 'dBFS',
    about: 'The mean of the signal: what asymmetry leaves at 0 Hz',
    format: { digits: 0 },
    of: (side) => side.dcDbfs,
    withoutChange: true,
  },
];

/** The whole session's two sides in numbers, at the mix output. */
@customElement('session-figures')
export class SessionFigures extends LitElement {
  static override styles = [base, figureTable, styles];

  @store(analysisContext) private analysis?: AnalysisStore;
  @store(sessionContext) private session?: SessionStore;
  @store(playerContext) private player?: PlayerStore;

  override render() {
    const { analysis } = this;
    if (!analysis) return nothing;
    const { clean, coloured, addedPercent, status } = analysis;
    const why = status === 'working' ? 'Being measured' : status === 'failed' ? 'Measuring failed' : 'Not defined';
    const document = this.session?.document;
    const region = analysis.shortened ?? document?.matchRegion;
    const { a, b, scope } = document ? compared(document) : { a: '', b: '', scope: null };
    const where = scope === null ? '' : `, ${scope}`;
    const words = sideWords(document);
    return html`<section aria-labelledby="heading">
      <div class="heading">
        <h2 id="heading">${region ? html`Mix, ${clock(region.startSeconds)}–${clock(region.endSeconds)}` : 'Whole session'}</h2>
        ${this.renderStatus(analysis)}
      </div>
      <table class=${isStale(analysis) ? 'stale' : 'fresh'}>
        <thead>
          <tr>
            <td></td>
            <th scope="col" title=${`Side A: ${a}${where}`}><span>${words.a}</span></th>
            <th scope="col" title=${`Side B: ${b}${where}`}><span>${words.b}</span></th>
            <th scope="col">change</th>
          </tr>
        </thead>
        <tbody>
          ${rows.map((row) => renderRow(row, clean, coloured, why))}
          <tr
            title=${
              words.third === 'added'
                ? 'Power of what the stages put in, as a share of the coloured side’s amplitude'
                : `Power of what no linear filter makes of ${words.a}, as a share of the amplitude of ${words.b}`
            }
          >
            <th scope="row">${words.third === 'added' ? 'Added' : 'Difference'} <small>%</small></th>
            <td></td>
            <td>${figureText(addedPercent, { digits: addedPercent !== null && addedPercent < 1 ? 2 : 1 }, why)}</td>
            <td></td>
          </tr>
        </tbody>
      </table>
      <match-list></match-list>
    </section>`;
  }

  private renderStatus({ status, progress, clean, coloured }: AnalysisStore) {
    // What is on the screen until a session stands was never measured.
    if (this.player?.state === 'loading') return html`<small>opening…</small>`;
    if (status === 'failed') return html`<small class="failed">measuring failed</small>`;
    if (status === 'idle' && !clean && !coloured) return html`<small>no sound yet</small>`;
    if (status === 'idle') return html`<small>measured <span aria-hidden="true">✓</span></small>`;
    return html`<small class="working" style=${styleMap({ '--done': `${progress}` })}
      >measuring ${Math.round(100 * progress)} %</small
    >`;
  }
}

function renderRow(row: Row, clean: SideFigures | null, coloured: SideFigures | null, why: string) {
  const from = clean && row.of(clean);
  const to = coloured && row.of(coloured);
  return html`<tr title=${row.about}>
    <th scope="row">${row.name} <small>${row.unit}</small></th>
    <td>${figureText(from, row.format, why)}</td>
    <td>${figureText(to, row.format, why)}</td>
    <td>${row.withoutChange ? nothing : figureText(change(from, to), { ...row.format, signed: true }, why)}</td>
  </tr>`;
}

declare global {
  interface HTMLElementTagNameMap {
    'session-figures': SessionFigures;
  }
}
