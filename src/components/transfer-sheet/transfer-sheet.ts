import { html, LitElement, nothing, svg } from 'lit';
import { customElement, query, state } from 'lit/decorators.js';
import { toNumber } from '../../engine/parameters.ts';
import { findParameter, findStageKind } from '../../engine/stages/catalogue.ts';
import { findRack, type RackId } from '../../session/document.ts';
import type { AnalysisStore, StageFace } from '../../stores/analysis-store.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { base } from '../base/base.styles.ts';
import { dialog } from '../base/dialog.styles.ts';
import { figureList } from '../base/figure-list.styles.ts';
import { figureTable } from '../base/figure-table.styles.ts';
import { analysisContext, sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { change, figure, figureText } from '../format/figures.ts';
import '../harmonic-list/harmonic-list.ts';
import { transferPlot, transferRows } from './transfer-plot.ts';
import { styles } from './transfer-sheet.styles.ts';

/** One stage's curve large enough to read: axes in dBFS, the programme under it, alignment and 1 % THD; or its table. */
@customElement('transfer-sheet')
export class TransferSheet extends LitElement {
  static override styles = [base, figureTable, figureList, dialog, styles];

  @store(sessionContext) private session?: SessionStore;
  @store(analysisContext) private analysis?: AnalysisStore;
  @state() private rackId: RackId = '';
  @state() private stageId = '';
  @state() private asTable = false;
  @state() private size = 0;
  @query('dialog') private dialog!: HTMLDialogElement;
  @query('.plot') private plotArea!: HTMLElement;
  readonly #resize = new ResizeObserver(([{ contentRect }]) => {
    this.size = Math.floor(contentRect.width);
  });

  async show(rackId: RackId, stageId: string): Promise<void> {
    this.rackId = rackId;
    this.stageId = stageId;
    this.asTable = false;
    await this.updateComplete;
    if (!this.dialog.open) this.dialog.showModal();
  }

  get open(): boolean {
    return this.dialog?.open ?? false;
  }

  override firstUpdated(): void {
    this.#resize.observe(this.plotArea);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#resize.disconnect();
  }

  override connectedCallback(): void {
    super.connectedCallback();
    if (this.hasUpdated) this.#resize.observe(this.plotArea);
  }

  override render() {
    const document = this.session?.document;
    const stages = (document && findRack(document, this.rackId)?.stages) ?? [];
    const index = stages.findIndex(({ id }) => id === this.stageId);
    const stage = stages[index];
    const kind = stage && findStageKind(stage.kind);
    const face = this.analysis?.rack(this.rackId)?.faces.find(({ stageId }) => stageId === this.stageId);
    const trimIn = kind && findParameter(kind, 'trimIn');
    const trimInDb = trimIn ? toNumber(trimIn, stage.params.trimIn) : 0;
    const alignmentDbfs = document?.alignmentDbfs ?? -18;
    return html`<dialog aria-labelledby="title" @click=${this.onBackdrop}>
      <div class="content">
        <div class="heading">
          <h2 id="title">${index + 1} ${kind?.label ?? stage?.kind ?? 'Stage'} <small>transfer curve</small></h2>
          <div class="tools">
            <button
              class="quiet"
              aria-pressed=${this.asTable}
              ?disabled=${!face}
              @click=${() => (this.asTable = !this.asTable)}
            >
              Table
            </button>
            <button autofocus @click=${() => this.dialog.close()}>Close</button>
          </div>
        </div>
        <div class="body">
          <div class="plot" ?hidden=${this.asTable}>
            ${face && this.size > 0 ? this.renderPlot(face, alignmentDbfs + trimInDb) : nothing}
          </div>
          ${this.asTable && face ? renderTable(face) : nothing}
          <div class="aside">
            <harmonic-list .face=${face} .alignmentDbfs=${alignmentDbfs}></harmonic-list>
            <dl>
              <div>
                <dt>1 % THD <small>dBFS in</small></dt>
                <dd>${figureText(face?.onePercentDbfs, { digits: 1 }, 'It never makes 1 % THD')}</dd>
              </div>
              <div>
                <dt>Alignment <small>after trim in</small></dt>
                <dd>${figure(alignmentDbfs + trimInDb, { digits: 1 })}</dd>
              </div>
              <div>
                <dt>Room to 1 % <small>dB</small></dt>
                <dd>
                  ${figureText(change(alignmentDbfs + trimInDb, face?.onePercentDbfs), { digits: 1, signed: true }, 'It never makes 1 % THD')}
                </dd>
              </div>
            </dl>
            <ul class="key">
              <li><i class="coloured"></i>this stage</li>
              <li><i class="clean"></i>a straight one</li>
              <li><i class="programme"></i>time the programme spends at each level</li>
            </ul>
            <p class="small">
              Positive half to the right and up. What bends both halves alike makes odd harmonics; what bends them
              differently makes even ones, and DC.
            </p>
          </div>
        </div>
      </div>
    </dialog>`;
  }

  private renderPlot(face: StageFace, alignmentDbfs: number) {
    const { size } = this;
    return html`<svg
      viewBox="0 0 ${size} ${size}"
      role="img"
      aria-label="Output against input, both in dBFS. The table has the figures."
    >
      ${svg`${transferPlot(face, { alignmentDbfs }, size)}`}
    </svg>`;
  }

  /** A click beside the sheet closes it. */
  private onBackdrop(event: MouseEvent): void {
    if (event.target === this.dialog) this.dialog.close();
  }
}

function renderTable(face: StageFace) {
  const cell = (db: number | null) => html`<td>${figureText(db, { digits: 2 }, 'No output at this level')}</td>`;
  return html`<div class="table">
    <table>
      <caption class="hidden">
        The curve at levels 3 dB apart, dBFS
      </caption>
      <thead>
        <tr>
          <th scope="col">in <small>dBFS</small></th>
          <th scope="col">out, + half</th>
          <th scope="col">out, − half</th>
          <th scope="col">difference <small>dB</small></th>
        </tr>
      </thead>
      <tbody>
        ${transferRows(face).map(
          ({ inDbfs, positiveDbfs, negativeDbfs }) => html`<tr>
            <th scope="row">${figure(inDbfs, { digits: 0 })}</th>
            ${cell(positiveDbfs)}${cell(negativeDbfs)}
            <td>${figure(change(negativeDbfs, positiveDbfs), { digits: 2, signed: true })}</td>
          </tr>`,
        )}
      </tbody>
    </table>
  </div>`;
}

declare global {
  interface HTMLElementTagNameMap {
    'transfer-sheet': TransferSheet;
  }
}
