import { html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { amountText } from '../../blind/trial-words.ts';
import type { TrialAnalysis, TrialOutcome } from '../../stores/trial-store.ts';
import { base } from '../base/base.styles.ts';
import { figureTable } from '../base/figure-table.styles.ts';
import { figure } from '../format/figures.ts';
import { driveCurve, driveCurveHeight } from './drive-curve.ts';
import { styles } from './outcome-plot.styles.ts';
import { percent } from './outcome-rows.ts';
import { RATE_HEIGHT, type Rate, ratePlot, type Worth, worthHeight, worthPlot } from './rate-plot.ts';

type Result = TrialAnalysis['result'];

interface Chart {
  readonly title: string;
  readonly about: string;
  readonly height: number;
  readonly draw: (width: number) => TemplateResult | ReturnType<typeof ratePlot>;
  /** Where the figures beside the plot don't say all of it. */
  readonly table: (() => TemplateResult) | null;
}

/** The result of a trial as a drawing, with the table behind it. */
@customElement('outcome-plot')
export class OutcomePlot extends LitElement {
  static override styles = [base, figureTable, styles];

  @property({ attribute: false }) outcome?: TrialOutcome;
  @state() private asTable = false;
  @state() private width = 0;
  /** Has the plot's width and, unlike the plot, no height that hangs on it. */
  @query('.ruler') private ruler!: HTMLElement | null;
  readonly #resize = new ResizeObserver(([{ contentRect }]) => {
    // In the next frame: the plot may bring a scrollbar, which takes width away again.
    requestAnimationFrame(() => {
      this.width = Math.floor(contentRect.width);
    });
  });

  override connectedCallback(): void {
    super.connectedCallback();
    if (this.ruler) this.#resize.observe(this.ruler);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#resize.disconnect();
  }

  override firstUpdated(): void {
    if (this.ruler) this.#resize.observe(this.ruler);
  }

  override render() {
    const chart = this.outcome && chartOf(this.outcome);
    if (!chart) return nothing;
    const { width, asTable } = this;
    return html`<div class="ruler"></div>
      <div class="heading">
        <h2>${chart.title}</h2>
        ${
          chart.table
            ? html`<button class="quiet" aria-pressed=${asTable} @click=${() => (this.asTable = !asTable)}>Table</button>`
            : nothing
        }
      </div>
      ${
        asTable && chart.table
          ? html`<div class="table" tabindex="0" role="group" aria-label=${`${chart.title}, as a table`}>
              ${chart.table()}
            </div>`
          : width > 120
            ? html`<svg
                viewBox="0 0 ${width} ${chart.height}"
                width=${width}
                height=${chart.height}
                role="img"
                aria-label=${chart.about}
              >
                ${chart.draw(width)}
              </svg>`
            : nothing
      }`;
  }
}

function chartOf({ record, analysis: { result } }: TrialOutcome): Chart | null {
  if (result.kind === 'drive-search') {
    return {
      title: 'Liking over the amount',
      about:
        'How likely the best amount lies where, how often each amount is chosen over clean, and every answer. The table has the figures.',
      height: driveCurveHeight(result.answers),
      draw: (width) => driveCurve(result, record, width),
      table: () => driveTable(result),
    };
  }
  if (result.kind === 'preference' && result.names.length > 2) {
    const sounds = worthOf(result);
    if (sounds === null) return null;
    return {
      title: 'Liking on one scale',
      about: 'Every sound on one scale with one standard error to either side. The table has the figures.',
      height: worthHeight(sounds.length),
      draw: (width) => worthPlot(sounds, width),
      table: () => worthTable(sounds),
    };
  }
  const { title, ...rate } = rateOf(result);
  return {
    title,
    about: `${rate.hits} of ${rate.of}, with its 95 % interval, against one half by chance.`,
    height: RATE_HEIGHT,
    draw: (width) => ratePlot(rate, width),
    table: null,
  };
}

function rateOf(result: Exclude<Result, { kind: 'drive-search' }>): Rate & { readonly title: string } {
  const { trials: of, interval } = result;
  if (result.kind === 'abx') return { title: 'Right answers, 95 % interval', hits: result.correct, of, interval };
  if (result.kind === 'confirm')
    return { title: 'Chosen over clean, 95 % interval', hits: result.chosen, of, interval };
  return { title: `${result.names[1]} chosen, 95 % interval`, hits: result.wins[1][0], of, interval };
}

/** The most chosen first. */
function worthOf({ names, scale }: Extract<Result, { kind: 'preference' }>): Worth[] | null {
  if (scale === null) return null;
  return names
    .map((name, i) => ({ name, ...scale.centred[i], share: scale.worth[i] }))
    .sort((a, b) => b.value - a.value);
}

function driveTable({ curve, peak }: Extract<Result, { kind: 'drive-search' }>) {
  const inside = (amount: number | null, next: number | null) =>
    peak.reduce(
      (sum, { amountDb, probability }) =>
        amount === null
          ? sum + (amountDb === null ? probability : 0)
          : sum + (amountDb !== null && amountDb >= amount && (next === null || amountDb < next) ? probability : 0),
      0,
    );
  return html`<table>
    <caption class="hidden">
      Each amount that could be tried
    </caption>
    <thead>
      <tr>
        <th scope="col">amount</th>
        <th scope="col">chosen over clean</th>
        <th scope="col">90 % of curves</th>
        <th scope="col">utility <small>logits</small></th>
        <th scope="col">best from here to the next</th>
      </tr>
    </thead>
    <tbody>
      ${curve.map(
        ({ amountDb, overClean, low, high, utility }, i) => html`<tr>
          <th scope="row">${amountText(amountDb)}</th>
          <td>${percent(overClean)}</td>
          <td>${percent(low)} to ${percent(high)}</td>
          <td>${figure(utility, { digits: 2 })}</td>
          <td>${percent(inside(amountDb, curve[i + 1]?.amountDb ?? null))}</td>
        </tr>`,
      )}
    </tbody>
  </table>`;
}

function worthTable(sounds: readonly Worth[]) {
  return html`<table>
    <caption class="hidden">
      Each sound on the scale
    </caption>
    <thead>
      <tr>
        <th scope="col">sound</th>
        <th scope="col">logits</th>
        <th scope="col">standard error</th>
        <th scope="col">share</th>
      </tr>
    </thead>
    <tbody>
      ${sounds.map(
        ({ name, value, standardError, share }) => html`<tr>
          <th scope="row">${name}</th>
          <td>${figure(value, { digits: 2, signed: true })}</td>
          <td>${figure(standardError, { digits: 2 })}</td>
          <td>${percent(share)}</td>
        </tr>`,
      )}
    </tbody>
  </table>`;
}

declare global {
  interface HTMLElementTagNameMap {
    'outcome-plot': OutcomePlot;
  }
}
