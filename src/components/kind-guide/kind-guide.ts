import { html, LitElement, nothing } from 'lit';
import { customElement } from 'lit/decorators.js';
import { stageKinds } from '../../engine/stages/catalogue.ts';
import type { FigurePoint, KindFigure } from '../../stores/kind-guide-store.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { base } from '../base/base.styles.ts';
import { chart } from '../bench-sheet/chart.styles.ts';
import type { BenchAxis } from '../bench-sheet/chart-axes.ts';
import { sweepPlot } from '../bench-sheet/sweep-plot.ts';
import { sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { figure } from '../format/figures.ts';
import { styles } from './kind-guide.styles.ts';

const SIZE = { width: 310, height: 170 };
const LEVELS: BenchAxis = { kind: 'linear', from: -48, to: 0, unit: 'dBFS' };
const FREQUENCIES: BenchAxis = { kind: 'log', from: 30, to: 8500, unit: 'Hz' };

/** Which stage for what: each kind in two sentences and two pictures, which are measured when they are looked at. */
@customElement('kind-guide')
export class KindGuideList extends LitElement {
  static override styles = [base, chart, styles];

  @store(sessionContext, (session) => session.kindGuide) private session?: SessionStore;

  /** Has what isn't measured yet measured. */
  show(): void {
    void this.session?.kindGuide.look();
  }

  override render() {
    const { session } = this;
    if (!session) return nothing;
    const operating = figure(session.document.alignmentDbfs, { digits: 0, unit: 'dBFS' });
    return html`<h3>Which stage for what</h3>
      <p class="small">
        Harmonics of each at its defaults and 0 dB of drive, even ones outlined, odd ones filled: against level, at 997 Hz or what
        the drive is counted from, and at ${operating} against frequency.
      </p>
      ${stageKinds.map(
        ({ id, label, about, suits }) => html`<section aria-label=${label}>
          <h4>${label}</h4>
          <p>${about} ${suits}</p>
          <div class="pictures">${renderPictures(label, session.kindGuide.figures.get(id), operating)}</div>
        </section>`,
      )}`;
  }
}

function renderPictures(label: string, known: KindFigure | undefined, operating: string) {
  if (!known) return html`<p class="small waiting">Being measured…</p>`;
  const picture = (points: readonly FigurePoint[], axis: BenchAxis, name: string) =>
    html`<svg viewBox="0 0 ${SIZE.width} ${SIZE.height}" width=${SIZE.width} role="img" aria-label=${name}>
      ${sweepPlot(
        points.map(({ at }) => at),
        [
          { name: 'even', mark: 'even', values: points.map(({ evenDbc }) => evenDbc) },
          { name: 'odd', mark: 'odd', values: points.map(({ oddDbc }) => oddDbc) },
        ],
        axis,
        SIZE,
      )}
    </svg>`;
  return html`${picture(known.levels, LEVELS, `${label}, harmonics against level: ${words(known.levels.at(-4))} at −18 dBFS`)}
  ${picture(known.frequencies, FREQUENCIES, `${label}, harmonics against frequency at ${operating}: ${words(known.frequencies[0])} at 31 Hz, ${words(known.frequencies.at(-1))} at 8 kHz`)}`;
}

function words(point: FigurePoint | undefined): string {
  const dbc = (value: number | null | undefined) => figure(value, { digits: 0, unit: 'dBc' });
  return `even ${dbc(point?.evenDbc)}, odd ${dbc(point?.oddDbc)}`;
}

declare global {
  interface HTMLElementTagNameMap {
    'kind-guide': KindGuideList;
  }
}
