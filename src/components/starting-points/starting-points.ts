import { html, LitElement, nothing } from 'lit';
import { customElement, query, state } from 'lit/decorators.js';
import { repeat } from 'lit/directives/repeat.js';
import { findStageKind } from '../../engine/stages/catalogue.ts';
import { findRack, LIMITS, type RackId, rackIds, type SessionDocument } from '../../session/document.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import type { ListedPoint, RackProfile } from '../../stores/starting-point-store.ts';
import { base } from '../base/base.styles.ts';
import { dialog } from '../base/dialog.styles.ts';
import { sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { figure } from '../format/figures.ts';
import '../rack-choice/rack-choice.ts';
import { replacesWords } from '../rack-choice/rack-choice.ts';
import { rackName } from '../rack-sheet/rack-facts.ts';
import { styles } from './starting-points.styles.ts';

/** Racks to begin with, each with what it does here before it is taken, as a dialog: the tool's and the user's own. */
@customElement('starting-points')
export class StartingPointList extends LitElement {
  static override styles = [base, dialog, styles];

  @store(sessionContext, (session) => session.startingPoints) private session?: SessionStore;
  @state() private rackId: RackId = '';
  @state() private picked = '';
  @state() private chosen: ReadonlySet<RackId> = new Set();
  @state() private ownName = '';
  /** The one that is to go, until that is said a second time. */
  @state() private doomed: string | null = null;
  @query('dialog') private dialog?: HTMLDialogElement;

  get open(): boolean {
    return this.dialog?.open ?? false;
  }

  /** Opens the list for one rack and measures what is in it there. */
  show(rackId: RackId): void {
    this.rackId = rackId;
    this.chosen = new Set([rackId]);
    this.doomed = null;
    this.ownName = '';
    this.dialog?.showModal();
    void this.points?.look(rackId);
  }

  override render() {
    const { points, session } = this;
    if (!points || !session) return nothing;
    const { document } = session;
    const name = rackName(document, this.rackId);
    return html`<dialog aria-labelledby="title" @close=${() => this.points?.leave()}>
      <div class="heading">
        <h2 id="title">Starting points</h2>
        <button autofocus @click=${() => this.dialog?.close()}>Close</button>
      </div>
      <p class="small">
        Mild racks for typical jobs. Figures are measured: tones at ${figure(document.alignmentDbfs, { digits: 0, unit: 'dBFS' })}
        into the rack, and the loudest three seconds of what comes into ${name}.
      </p>
      <div class="parts">
      <fieldset>
        <legend class="hidden">Starting point</legend>
        <ul>
          ${repeat(
            points.points,
            ({ id }) => id,
            (point) => this.renderPoint(point),
          )}
        </ul>
      </fieldset>
      <div class="beside">
        ${this.renderTargets(document)} ${this.renderOwn(document, name)}
      </div>
      </div>
    </dialog>`;
  }

  private get points() {
    return this.session?.startingPoints;
  }

  private renderPoint(point: ListedPoint) {
    const { id, name, about, stages, unreadable, isOwn, profile } = point;
    return html`<li>
      <label
        ><input
          type="radio"
          name="point"
          .checked=${this.picked === id}
          ?disabled=${unreadable !== null}
          @change=${() => (this.picked = id)}
        /><span
          ><b>${name}</b> ${about === '' ? nothing : html`<span class="about">${about}</span>`}
          <small>${unreadable ?? stages.map(({ kind }) => findStageKind(kind)?.label ?? kind).join(', then ')}</small></span
        ></label
      >
      ${unreadable === null ? renderProfile(profile) : nothing} ${isOwn ? this.renderOwnActions(id, name, unreadable) : nothing}
    </li>`;
  }

  private renderOwnActions(id: string, name: string, unreadable: string | null) {
    const which = html`<span class="hidden">: ${name}</span>`;
    return html`<div class="does">
      ${unreadable === null ? html`<button @click=${() => this.points?.save(id)}>Save as a file…${which}</button>` : nothing}
      ${
        this.doomed === id
          ? html`<button class="sure" @click=${() => this.discard(id)}>Discard for good${which}</button>`
          : html`<button @click=${() => (this.doomed = id)}>Discard…${which}</button>`
      }
    </div>`;
  }

  private renderTargets(document: SessionDocument) {
    // The one it was opened at first, so that its tick is seen.
    const racks = [this.rackId, ...rackIds(document).filter((id) => id !== this.rackId)];
    const targets = racks.filter((id) => this.chosen.has(id));
    const point = this.points?.points.find(({ id }) => id === this.picked);
    const where = targets.length === 1 ? rackName(document, targets[0]) : `${targets.length} racks`;
    return html`<section aria-label="Where it goes">
      <h3>Put it on</h3>
      <rack-choice
        aria-label="Racks to put it on"
        .document=${document}
        .racks=${racks}
        .chosen=${this.chosen}
        @choice=${({ detail }: CustomEvent<ReadonlySet<RackId>>) => (this.chosen = detail)}
      ></rack-choice>
      <p class="small reserved">${replacesWords(document, targets)}</p>
      <button class="primary" ?disabled=${!point || targets.length === 0} @click=${() => this.put(targets)}>
        ${!point ? 'Choose a starting point' : targets.length === 0 ? 'Choose racks' : `Put “${point.name}” on ${where}`}
      </button>
    </section>`;
  }

  private renderOwn(document: SessionDocument, name: string) {
    const count = findRack(document, this.rackId)?.stages.length ?? 0;
    const isKept = this.points?.isKept ?? false;
    return html`<section aria-label="Your own">
      <h3>Your own</h3>
      ${
        count === 0
          ? html`<p class="small">The rack of ${name} is empty. One with stages can be kept here for every session.</p>`
          : html`<form @submit=${this.keep}>
              <label class="field"
                ><span>Name for the rack of ${name}</span
                ><input
                  required
                  maxlength=${LIMITS.name}
                  .value=${this.ownName}
                  ?disabled=${!isKept}
                  @input=${(event: Event) => (this.ownName = (event.target as HTMLInputElement).value)}
              /></label>
              <button ?disabled=${!isKept || this.ownName.trim() === ''}>Keep it in this list</button>
            </form>`
      }
      ${isKept ? nothing : html`<p class="small">This browser window keeps nothing at the moment.</p>`}
      <button @click=${() => this.points?.openFile()}>Open a rack file…</button>
    </section>`;
  }

  private put(targets: readonly RackId[]): void {
    this.points?.put(this.picked, targets);
    this.dialog?.close();
  }

  private async keep(event: SubmitEvent): Promise<void> {
    event.preventDefault();
    const { ownName, points, rackId } = this;
    if (!(await points?.keep(rackId, ownName))) return;
    this.ownName = '';
    void points?.look(rackId);
  }

  private async discard(id: string): Promise<void> {
    this.doomed = null;
    if (this.picked === id) this.picked = '';
    await this.points?.discard(id);
  }
}

function renderProfile(profile: RackProfile | null) {
  const thd = profile?.tones.map(({ thdPercent }) => percent(thdPercent)) ?? [];
  // Where it colours most: a stage that works a band does next to nothing outside it.
  const most = profile?.tones.reduce((a, b) => ((b.thdPercent ?? 0) > 1.1 * (a.thdPercent ?? 0) ? b : a));
  const rows: [name: string, text: string | undefined][] = [
    ['THD, 60 Hz', thd[0]],
    ['1 kHz', thd[1]],
    ['5 kHz', thd[2]],
    ['Even', profile ? figure(most?.evenDbc, { digits: 0, unit: 'dBc' }) : undefined],
    ['Odd', profile ? figure(most?.oddDbc, { digits: 0, unit: 'dBc' }) : undefined],
    ['Added here', profile ? percent(profile.addedPercent) : undefined],
  ];
  return html`<dl aria-busy=${profile === null}>
    ${rows.map(
      ([name, text]) => html`<div>
        <dt>${name}</dt>
        <dd>${text ?? html`<span class="hidden">being measured</span><span aria-hidden="true">…</span>`}</dd>
      </div>`,
    )}
  </dl>`;
}

/** Two digits that count; what no one measures is told as nothing. */
function percent(value: number | null): string {
  if (value === null) return figure(null, { digits: 1 });
  return value < 0.01 ? '0 %' : figure(value, { digits: value < 1 ? 2 : 1, unit: '%' });
}

declare global {
  interface HTMLElementTagNameMap {
    'starting-points': StartingPointList;
  }
}
