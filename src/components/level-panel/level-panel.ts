import { html, LitElement, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import type { LevelStore, RackLevels, SideLevels } from '../../stores/level-store.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { base } from '../base/base.styles.ts';
import { figureList } from '../base/figure-list.styles.ts';
import { figureTable } from '../base/figure-table.styles.ts';
import { levelContext, sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { figure, figureText } from '../format/figures.ts';
import { sideWords } from '../matched-switch/compared.ts';
import { styles } from './level-panel.styles.ts';

interface Row {
  readonly name: string;
  readonly unit: string;
  readonly about: string;
  readonly of: (levels: SideLevels) => number | null;
  /** A largest value that belongs to the row, for its title. */
  readonly most?: (levels: SideLevels) => number | null;
  /** Not in the short list at the input. */
  readonly outputOnly?: boolean;
}

const rows: readonly Row[] = [
  {
    name: 'M',
    unit: 'LUFS',
    about: 'Momentary loudness, the last 0.4 s',
    of: (levels) => levels.momentaryLufs,
    most: (levels) => levels.maxMomentaryLufs,
  },
  {
    name: 'S',
    unit: 'LUFS',
    about: 'Short-term loudness, the last 3 s',
    of: (levels) => levels.shortTermLufs,
    most: (levels) => levels.maxShortTermLufs,
  },
  {
    name: 'I',
    unit: 'LUFS',
    about: 'Integrated loudness, gated, since the reset or the last change',
    of: (levels) => levels.integratedLufs,
  },
  {
    name: 'TP',
    unit: 'dBTP',
    about: 'Highest true peak since the reset or the last change',
    of: (levels) => levels.truePeakDbtp,
  },
  {
    name: '+ peak',
    unit: '',
    about: 'Highest positive sample since the reset or the last change, dBFS',
    of: (levels) => levels.positivePeakDbfs,
    outputOnly: true,
  },
  {
    name: '− peak',
    unit: '',
    about: 'Highest negative sample since the reset or the last change, dBFS',
    of: (levels) => levels.negativePeakDbfs,
    outputOnly: true,
  },
  {
    name: 'PSR',
    unit: 'dB',
    about: 'True peak over short-term loudness, the last 3 s',
    of: (levels) => levels.psrDb,
    outputOnly: true,
  },
  {
    name: 'PLR',
    unit: 'dB',
    about: 'Highest true peak over integrated loudness, since the reset or the last change',
    of: (levels) => levels.plrDb,
  },
];

/**
 * Loudness and peaks while sound plays: both sides at the chosen rack's output, or what comes into the rack. Dashes
 * stand until there is sound.
 */
@customElement('level-panel')
export class LevelPanel extends LitElement {
  static override styles = [base, figureTable, figureList, styles];

  @store(levelContext) private levels?: LevelStore;
  @store(sessionContext) private session?: SessionStore;
  @property() rackId = '';
  @property({ reflect: true }) show: 'output' | 'input' = 'output';

  override render() {
    const latest = this.levels?.latest ?? null;
    const levels = latest && latest.rackId === this.rackId ? latest : null;
    if (this.show === 'input') {
      return html`<h4>Now</h4>
        <dl>
          ${rows
            .filter((row) => !row.outputOnly)
            .map(
              (row) => html`<div title=${about(row, levels?.input ?? null, null)}>
                <dt>${row.name === 'TP' || row.name === 'PLR' ? nothing : row.name} ${row.name === 'PLR' ? row.name : row.unit}</dt>
                <dd>${value(row, 'input', levels)}</dd>
              </div>`,
            )}
        </dl>`;
    }
    const { a, b } = sideWords(this.session?.document);
    return html`<table>
      <caption class="hidden">
        Levels now at the rack's output
      </caption>
      <thead>
        <tr>
          <td>
            <button
              class="quiet"
              title="Starts integrated loudness, true peak and peaks anew (key R)"
              ?disabled=${!this.levels}
              @click=${() => this.levels?.reset()}
            >
              Reset<span class="hidden"> levels</span>
            </button>
          </td>
          <th scope="col" title=${a}><i class="clean"></i><span>${a}</span></th>
          <th scope="col" title=${b}><i class="coloured"></i><span>${b}</span></th>
        </tr>
      </thead>
      <tbody>
        ${rows.map(
          (row) => html`<tr title=${about(row, levels?.clean ?? null, levels?.coloured ?? null)}>
            <th scope="row">${row.name} ${row.unit ? html`<small>${row.unit}</small>` : nothing}</th>
            <td>${value(row, 'clean', levels)}</td>
            <td>${value(row, 'coloured', levels)}</td>
          </tr>`,
        )}
      </tbody>
    </table>`;
  }
}

/** A figure of the settings as they are; until there is one, that of before, faint and called so. */
function value(row: Row, side: 'clean' | 'input' | 'coloured', levels: RackLevels | null) {
  const now = levels?.[side] ?? null;
  const figureNow = now && row.of(now);
  const before = levels?.former?.[side] ?? null;
  const figureBefore = before && row.of(before);
  if (figureNow === null && figureBefore !== null) {
    return html`<span class="former" title="Still of the settings before the last change"
      >${figure(figureBefore, { digits: 1 })}<span class="hidden"> with the settings before</span></span
    >`;
  }
  return figureText(
    figureNow,
    { digits: 1 },
    levels ? 'Not enough sound yet, or none above −70 LUFS' : 'Nothing has played yet',
  );
}

/** The row in words, with the largest values where the row has any. */
function about({ about, most, unit }: Row, first: SideLevels | null, second: SideLevels | null): string {
  if (!most || !first) return about;
  const largest = [first, second].flatMap((side) => (side ? [figure(most(side), { digits: 1 })] : []));
  return `${about}; highest ${largest.join(' and ')} ${unit}`;
}

declare global {
  interface HTMLElementTagNameMap {
    'level-panel': LevelPanel;
  }
}
