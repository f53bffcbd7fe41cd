import { html, LitElement, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { styleMap } from 'lit/directives/style-map.js';
import { USUAL_TONE_HZ } from '../../engine/parameters.ts';
import type { StageFace } from '../../stores/analysis-store.ts';
import { base } from '../base/base.styles.ts';
import { figure, figureText } from '../format/figures.ts';
import { styles } from './harmonic-list.styles.ts';

const LOWEST = 2;
const HIGHEST = 7;
/** The rules beside the figures span this range, dBc. */
const FLOOR_DBC = -120;
const CEILING_DBC = -20;

/** A stage's harmonics in dBc: odd ones with a filled mark, even ones with an outlined one. Always the same rows. */
@customElement('harmonic-list')
export class HarmonicList extends LitElement {
  static override styles = [base, styles];

  @property({ attribute: false }) face: StageFace | undefined;
  @property({ type: Number }) alignmentDbfs = -18;

  override render() {
    const orders = Array.from({ length: HIGHEST - LOWEST + 1 }, (_, i) => i + LOWEST);
    const level = figure(this.alignmentDbfs, { digits: 0, unit: 'dBFS' });
    const tone = this.face?.toneHz ?? USUAL_TONE_HZ;
    return html`
      <ul aria-label="Harmonics, dBc" title="Harmonics of ${tone} Hz at the alignment level, against the fundamental, in dBc">
        ${orders.map((n) => this.renderRow(n))}
      </ul>
      <p>
        <span>THD <b>${figureText(this.thd(), { digits: thdDigits(this.thd()), unit: '%' }, 'Not computed yet')}</b></span>
        <small>at ${level}${tone === USUAL_TONE_HZ ? '' : `, ${tone} Hz`}</small>
      </p>
      <p class="unbiased">${this.renderUnbiased()}</p>
    `;
  }

  /** What the drive alone makes, where a bias changes it; the line is there without one too, so that nothing jumps. */
  private renderUnbiased() {
    const percent = this.face?.unbiasedThdPercent ?? null;
    if (percent === null) return nothing;
    return html`<small title="0 dB of drive is 1 % THD without bias; the bias makes the difference">${figure(percent, { digits: thdDigits(percent), unit: '%' })} without bias</small>`;
  }

  private renderRow(n: number) {
    const dbc = this.face?.harmonics.find((harmonic) => harmonic.n === n)?.dbc ?? null;
    const share = dbc === null ? 0 : (dbc - FLOOR_DBC) / (CEILING_DBC - FLOOR_DBC);
    return html`<li class=${n % 2 === 0 ? 'even' : 'odd'}>
      <i class="mark"></i><span>H${n}</span
      ><i class=${dbc === null ? 'bar none' : 'bar'} style=${styleMap({ '--share': `${Math.min(1, Math.max(0, share))}` })}></i>
      <b>${figureText(dbc, { digits: 0 }, this.face ? 'Below −140 dBc' : 'Not computed yet')}</b>
    </li>`;
  }

  private thd(): number | null {
    return this.face?.thdPercent ?? null;
  }
}

/** Two or three significant figures, so that 0.012 % and 12.3 % both say enough. */
function thdDigits(percent: number | null): number {
  if (percent === null || percent >= 10) return 1;
  return percent >= 0.1 ? 2 : 3;
}

declare global {
  interface HTMLElementTagNameMap {
    'harmonic-list': HarmonicList;
  }
}
