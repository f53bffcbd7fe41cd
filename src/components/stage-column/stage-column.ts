import { html, LitElement, nothing } from 'lit';
import { customElement, property, query } from 'lit/decorators.js';
import type { Parameter } from '../../engine/parameters.ts';
import { findStageKind } from '../../engine/stages/catalogue.ts';
import { DRIVE, drivenStage, driveOf, type RackId, type Stage } from '../../session/document.ts';
import type { StageFace } from '../../stores/analysis-store.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { base } from '../base/base.styles.ts';
import { disclosure } from '../base/disclosure.styles.ts';
import { sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import '../circuit-drawing/circuit-drawing.ts';
import '../drive-link/drive-link.ts';
import type { DriveLinkEditor } from '../drive-link/drive-link.ts';
import { linkSign } from '../drive-link/link-sign.ts';
import { figure } from '../format/figures.ts';
import '../harmonic-list/harmonic-list.ts';
import { icons } from '../icons/icons.ts';
import '../note-field/note-field.ts';
import '../parameter-control/parameter-control.ts';
import '../stage-curve/stage-curve.ts';
import { styles } from './stage-column.styles.ts';

/**
 * One stage of the rack: what it does, and the few controls one sets by ear; the circuit is one level deeper.
 *
 * @fires curve-request - `CustomEvent<{ rackId: string; stageId: string }>`: the curve is wanted large.
 */
@customElement('stage-column')
export class StageColumn extends LitElement {
  static override styles = [base, disclosure, styles];

  /** Watched, since links are no part of the stage itself. */
  @store(sessionContext) private session?: SessionStore;
  @property() rackId: RackId = '';
  @property({ attribute: false }) stage!: Stage;
  @property({ attribute: false }) face: StageFace | undefined;
  /** Place in the rack, from 0. */
  @property({ type: Number }) index = 0;
  @property({ type: Number }) count = 1;
  @property({ type: Boolean }) stale = false;
  @query('footer > details') private circuit?: HTMLDetailsElement;
  @query('drive-link') private link?: DriveLinkEditor;

  override render() {
    const { stage, index } = this;
    const kind = findStageKind(stage.kind);
    const name = kind?.label ?? stage.kind;
    return html`<section aria-label=${`Stage ${index + 1}, ${name}`} class=${stage.on ? '' : 'off'}>
      <header>
        <h3 title=${kind?.about ?? nothing}><span class="number">${index + 1}</span> ${name}</h3>
        <label class="switch"
          ><span class="state">${stage.on ? 'on' : 'off'}</span
          ><input
            type="checkbox"
            role="switch"
            aria-label=${`${name} on`}
            .checked=${stage.on}
            @change=${(event: Event) => this.setOn((event.target as HTMLInputElement).checked)}
        /></label>
      </header>
      ${
        kind
          ? this.renderKind(kind.parameters)
          : html`<p class="unknown">
            This session names a stage kind “${stage.kind}” that this version doesn't have. It passes the signal as it is.
          </p>`
      }
      ${this.renderFoot(kind?.parameters.filter((parameter) => this.shows(parameter, 'circuit')) ?? [], name)}
    </section>`;
  }

  private renderKind(parameters: readonly Parameter[]) {
    const { face, stale } = this;
    return html`
      <div class=${stale ? 'face stale' : 'face fresh'}>
        <button class="curve" title="Curve with axes, large" @click=${this.enlarge}>
          <stage-curve .face=${face}></stage-curve><span class="hidden">Curve of stage ${this.index + 1}, large</span>
        </button>
        <harmonic-list .face=${face} .alignmentDbfs=${this.session?.document.alignmentDbfs ?? -18}></harmonic-list>
      </div>
      <div class="controls">
        ${parameters
          .filter((parameter) => this.shows(parameter, 'face'))
          .map((parameter) =>
            parameter.id === DRIVE.id
              ? html`<div>${this.renderControl(parameter)} ${this.renderDriveInEffect()} ${linkSign(this.session?.document, { rackId: this.rackId, stageId: this.stage.id }, () => this.showLink())}</div>`
              : this.renderControl(parameter),
          )}
      </div>
    `;
  }

  /** The set drive is not what drives the stage while all drives are moved. */
  private renderDriveInEffect() {
    const moved = this.session?.document.allDrivesDb ?? 0;
    const effective = driveOf(drivenStage(this.stage, moved));
    if (moved === 0 || effective === null) return nothing;
    const ends = effective === DRIVE.min || effective === DRIVE.max;
    return html`<p class="in-effect" title="The drive set here is moved by “All drives”, under Scenes">
      ${figure(effective, { digits: 1, signed: true, unit: 'dB' })}
      <small
        >in effect, all drives ${figure(moved, { digits: 1, signed: true, unit: 'dB' })}${ends ? ', at the end of the range' : ''}</small
      >
    </p>`;
  }

  private renderFoot(circuit: readonly Parameter[], name: string) {
    const { index, count } = this;
    const { id, notes } = this.stage;
    return html`<footer>
      <details>
        <summary>
          ${circuit.length > 0 ? 'Circuit' : 'Notes'}${notes && circuit.length > 0 ? html`<small>with notes</small>` : nothing}
        </summary>
        ${
          circuit.length > 0
            ? html`<circuit-drawing .stage=${this.stage}></circuit-drawing>
                <div class="controls">${circuit.map((parameter) => this.renderControl(parameter))}</div>
                <drive-link .rackId=${this.rackId} .stageId=${id}></drive-link>`
            : nothing
        }
        <note-field
          label="Notes on this stage"
          .place=${{ kind: 'stage', rackId: this.rackId, stageId: id } as const}
          .notes=${notes}
        ></note-field>
      </details>
      <div class="order" role="group" aria-label=${`Place of ${name}`}>
        <button class="icon quiet" title="Move towards In" ?disabled=${index === 0} @click=${() => this.move(index - 1)}>
          ${icons.earlier}<span class="hidden">Move ${name} towards In</span>
        </button>
        <button
          class="icon quiet"
          title="Move towards Out"
          ?disabled=${index >= count - 1}
          @click=${() => this.move(index + 1)}
        >
          ${icons.later}<span class="hidden">Move ${name} towards Out</span>
        </button>
        <button class="icon quiet" title="Remove this stage (undo brings it back)" @click=${this.remove_}>
          ${icons.remove}<span class="hidden">Remove ${name}</span>
        </button>
      </div>
    </footer>`;
  }

  private renderControl(parameter: Parameter) {
    const { rackId, stage } = this;
    return html`<parameter-control
      .parameter=${parameter}
      .value=${stage.params[parameter.id]}
      .rackId=${rackId}
      .stageId=${stage.id}
    ></parameter-control>`;
  }

  private shows({ place, when }: Parameter, wanted: Parameter['place']): boolean {
    return place === wanted && (!when || this.stage.params[when.id] === when.is);
  }

  /** Where the link is changed. */
  private async showLink(): Promise<void> {
    if (this.circuit) this.circuit.open = true;
    await this.link?.updateComplete;
    this.link?.show();
  }

  private setOn(on: boolean): void {
    const { rackId, stage } = this;
    this.session?.dispatch({ type: 'set-stage-on', rackId, stageId: stage.id, on });
  }

  private move(index: number): void {
    const { rackId, stage } = this;
    this.session?.dispatch({ type: 'move-stage', rackId, stageId: stage.id, index });
  }

  private enlarge(): void {
    const { rackId, stage } = this;
    const detail = { rackId, stageId: stage.id };
    this.dispatchEvent(new CustomEvent('curve-request', { bubbles: true, composed: true, detail }));
  }

  private remove_(): void {
    const { rackId, stage } = this;
    this.session?.dispatch({ type: 'remove-stage', rackId, stageId: stage.id });
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'stage-column': StageColumn;
  }
}
