import { html, LitElement, nothing } from 'lit';
import { customElement, query, state } from 'lit/decorators.js';
import type { SessionStore } from '../../stores/session-store.ts';
import type {
  ImportCheck,
  ReportFormat,
  TakeHomeEnding,
  TakeHomeStore,
  TakeHomeWork,
} from '../../stores/take-home-store.ts';
import { base } from '../base/base.styles.ts';
import { callout } from '../base/callout.styles.ts';
import { dialog } from '../base/dialog.styles.ts';
import { figureTable } from '../base/figure-table.styles.ts';
import { progress } from '../base/progress.styles.ts';
import { sessionContext, takeHomeContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { checkResult } from './check-result.ts';
import { exportChoices } from './export-choices.ts';
import { expectedTable, writtenTable } from './file-tables.ts';
import { styles } from './take-home-sheet.styles.ts';

const REPORTS: readonly (readonly [format: ReportFormat, label: string, about: string])[] = [
  ['html', 'HTML…', 'A page that prints, with plots'],
  ['md', 'Markdown…', 'Text for notes'],
  ['json', 'JSON…', 'Every figure, for programs'],
];

const AUDIO = 'audio/*,.wav,.wave,.flac,.aif,.aiff,.mp3,.ogg,.opus,.m4a';

/** Takes the session home: the files with what they will be, the report, and the check against one's own mixdown. */
@customElement('take-home-sheet')
export class TakeHomeSheet extends LitElement {
  static override styles = [base, figureTable, callout, progress, dialog, styles];

  @store(sessionContext) private session?: SessionStore;
  @store(takeHomeContext) private store?: TakeHomeStore;
  @state() private asTable = false;
  @query('dialog') private dialog?: HTMLDialogElement;
  @query('#mixdown') private picker!: HTMLInputElement;
  #working = false;
  #seen: ImportCheck | null = null;

  async show(): Promise<void> {
    await this.updateComplete;
    if (!this.dialog || this.dialog.open) return;
    this.dialog.showModal();
    this.store?.setShown(true);
    this.requestUpdate();
  }

  get open(): boolean {
    return this.dialog?.open ?? false;
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.store?.setShown(false);
  }

  override updated(): void {
    const { checked = null } = this.store ?? {};
    if (checked?.check && checked.check !== this.#seen) {
      this.shadowRoot?.querySelector('.checked')?.scrollIntoView({ block: 'nearest' });
    }
    this.#seen = checked?.check ?? null;
    this.followWork(this.store?.work !== null);
  }

  /** The button that was pressed makes room for Cancel, and comes back: the keyboard stays with it. */
  private followWork(working: boolean): void {
    if (working === this.#working) return;
    this.#working = working;
    if (!this.open || this.shadowRoot?.activeElement) return;
    this.shadowRoot?.querySelector<HTMLElement>(working ? '.cancel' : '.start')?.focus();
  }

  override render() {
    const { session, store } = this;
    if (!session || !store) return nothing;
    return html`<dialog aria-labelledby="title" @click=${this.onBackdrop} @close=${this.onClose}>
      <div class="content">
        <div class="heading">
          <h2 id="title">Take it home <small>${session.document.name}</small></h2>
          <button autofocus @click=${() => this.dialog?.close()}>Close</button>
        </div>
        ${this.open ? this.renderSections(session, store) : nothing}
      </div>
    </dialog>`;
  }

  private renderSections(session: SessionStore, store: TakeHomeStore) {
    return html`<section aria-labelledby="files">
        <h3 id="files">Files</h3>
        ${this.renderExport(session, store)}
      </section>
      <div class="aside">
        <section aria-labelledby="report">
          <h3 id="report">Report by itself</h3>
          <p class="small">Signal path, every setting, both sides measured, blind trials and your notes.</p>
          ${
            store.work?.what === 'report'
              ? renderWork(store.work, () => store.cancel())
              : html`<div class="buttons">
                  ${REPORTS.map(
                    ([format, label, about]) => html`<button
                      title=${about}
                      ?disabled=${store.work !== null}
                      @click=${() => store.saveReport(format)}
                    >
                      ${label}
                    </button>`,
                  )}
                </div>`
          }
          ${renderEnding(store.ending, 'report')}
        </section>
        <section aria-labelledby="check">
          <h3 id="check">Import check</h3>
          ${this.renderCheck(store)}
        </section>
      </div>`;
  }

  private renderExport(session: SessionStore, store: TakeHomeStore) {
    const { work, ending, canChooseFolder } = store;
    const expected = store.expected();
    const written = ending?.how === 'written' && ending.what === 'export' ? ending : null;
    const blocked = work !== null || expected.refusal !== null;
    return html`<div class="export">
      ${exportChoices({
        store,
        oversampling: session.document.exportOversampling,
        onOversampling: (factor) => {
          session.dispatch({ type: 'set-export-oversampling', factor });
          store.choose({});
        },
      })}
      <div class="list">
        <div class="scroll files" tabindex="0" role="group" aria-label="Files">
          ${written ? writtenTable(written.files) : expectedTable(expected)}
        </div>
        ${
          written
            ? nothing
            : html`${expected.warnings.map((warning) => html`<p class="callout warning">${warning}</p>`)}<ul class="sentences">
                ${expected.sentences.map((sentence) => html`<li>${sentence}</li>`)}
              </ul>`
        }
        ${expected.refusal ? html`<p class="callout fault" role="status">${expected.refusal}</p>` : nothing}
        ${renderEnding(ending, 'export')}
        ${
          work?.what === 'export'
            ? renderWork(work, () => store.cancel())
            : html`<div class="buttons">
                <button class="primary start" ?disabled=${blocked} @click=${() => store.export('zip')}>Write one ZIP…</button>
                ${
                  canChooseFolder
                    ? html`<button
                        title="Into a new folder inside the one you choose; nothing there is written over"
                        ?disabled=${blocked}
                        @click=${() => store.export('folder')}
                      >
                        Write into a folder…
                      </button>`
                    : nothing
                }
              </div>`
        }
      </div>
    </div>`;
  }

  private renderCheck(store: TakeHomeStore) {
    const { checked, work } = store;
    return html`<p class="small">
        Choose the mixdown your host makes of the same files. The clean mix is compared with it, so that you know whether
        gains, places and routing came over.
      </p>
      <input id="mixdown" type="file" accept=${AUDIO} hidden aria-label="Mixdown" @change=${this.onMixdown} />
      ${
        work?.what === 'check'
          ? renderWork(work, () => store.cancel())
          : html`<div class="buttons">
              <button ?disabled=${work !== null} @click=${() => this.picker.click()}>Choose your mixdown…</button>
            </div>`
      }
      ${checked ? html`<p class="small name">${checked.file}</p>` : nothing}
      ${checked?.outdated ? html`<p class="callout warning">The session has changed since. Check it again.</p>` : nothing}
      ${checked?.fault ? html`<p class="callout fault" role="status">${checked.fault}</p>` : nothing}
      ${
        checked?.check
          ? html`<div role="status" class="checked">
              ${checkResult(checked.check, this.asTable, () => (this.asTable = !this.asTable))}
            </div>`
          : nothing
      }`;
  }

  private async onMixdown(): Promise<void> {
    const file = this.picker.files?.[0];
    this.picker.value = '';
    if (file) await this.store?.check(file);
  }

  private onClose(): void {
    this.store?.setShown(false);
    this.requestUpdate();
  }

  /** A click beside the sheet closes it. */
  private onBackdrop(event: MouseEvent): void {
    if (event.target === this.dialog) this.dialog?.close();
  }
}

function renderWork({ doing, share }: TakeHomeWork, onCancel: () => void) {
  return html`<div class="work">
    <span role="status">${doing}…</span>
    <progress max="1" value=${share ?? nothing} aria-label=${doing}></progress>
    <span class="share" aria-hidden="true">${share === null ? '' : `${Math.floor(100 * share)} %`}</span>
    <button class="cancel" @click=${onCancel}>Cancel</button>
  </div>`;
}

function renderEnding(ending: TakeHomeEnding | null, what: TakeHomeEnding['what']) {
  if (ending?.what !== what) return nothing;
  const warnings = ending.how === 'written' ? ending.warnings : [];
  return html`<div class="ending" role="status">
    <p class=${ending.how === 'failed' ? 'fault' : 'done'}>${ending.text}</p>
    ${warnings.map((warning) => html`<p class="callout warning">${warning}</p>`)}
  </div>`;
}

declare global {
  interface HTMLElementTagNameMap {
    'take-home-sheet': TakeHomeSheet;
  }
}
