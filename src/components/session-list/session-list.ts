import { html, LitElement, nothing } from 'lit';
import { customElement, query, state } from 'lit/decorators.js';
import { repeat } from 'lit/directives/repeat.js';
import type { KeptSession } from '../../stores/kept-store.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { base } from '../base/base.styles.ts';
import { asking, dialog } from '../base/dialog.styles.ts';
import { rowList } from '../base/row-list.styles.ts';
import { sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { styles } from './session-list.styles.ts';

/** The sessions that the browser keeps, as a dialog: to open, duplicate and discard them. */
@customElement('session-list')
export class SessionList extends LitElement {
  static override styles = [base, dialog, asking, rowList, styles];

  @store(sessionContext, (session) => session.files.kept) private session?: SessionStore;
  /** The one that is to go, until that is said a second time. */
  @state() private doomed: string | null = null;
  @state() private busy = false;
  @query('dialog') private dialog?: HTMLDialogElement;

  get open(): boolean {
    return this.dialog?.open ?? false;
  }

  /** Resolves when the list is up to date and on the screen. */
  async show(): Promise<void> {
    this.doomed = null;
    await this.kept?.look();
    await this.updateComplete;
    if (!this.open) this.dialog?.showModal();
  }

  override render() {
    const { kept } = this;
    if (!kept) return nothing;
    const fine = kept.sessions.filter(({ unreadable }) => !unreadable);
    const unreadable = kept.sessions.filter((one) => one.unreadable);
    return html`<dialog aria-labelledby="title">
      <div class="heading">
        <h2 id="title">Sessions in this browser</h2>
        <button autofocus @click=${() => this.dialog?.close()}>Close</button>
      </div>
      <p class="small">
        ${
          kept.isKept
            ? 'What you do is kept here as you do it, with its sound and its undo. A session file outlasts a browser whose data is cleared, too.'
            : 'This browser window keeps nothing at the moment: save the session as a file.'
        }
      </p>
      ${
        fine.length === 0
          ? html`<p>There is none yet. A session comes here as soon as something is made of it.</p>`
          : html`<ul>
              ${repeat(
                fine,
                ({ id }) => id,
                (one) => this.renderSession(one),
              )}
            </ul>`
      }
      ${
        unreadable.length === 0
          ? nothing
          : html`<h3>Kept, not readable here</h3>
              <ul>
                ${repeat(
                  unreadable,
                  ({ id }) => id,
                  (one) => this.renderUnreadable(one),
                )}
              </ul>`
      }
    </dialog>`;
  }

  private get kept() {
    return this.session?.files.kept;
  }

  private renderSession({ id, name, changed, channels, open }: KeptSession) {
    const { busy } = this;
    const where = { here: 'open here', elsewhere: 'open in another tab', nowhere: '' }[open];
    const facts = [when(changed), `${channels} ${channels === 1 ? 'channel' : 'channels'}`, where];
    return html`<li>
      <div><b>${name}</b><small>${facts.filter((fact) => fact !== '').join(' · ')}</small></div>
      <div class="does">
        ${
          open === 'nowhere'
            ? html`<button ?disabled=${busy} @click=${() => this.openOne(id)}>Open${this.renderName(name)}</button>`
            : nothing
        }
        ${
          open === 'elsewhere'
            ? html`<button ?disabled=${busy} @click=${() => this.openOne(id, true)}>
                Open a copy${this.renderName(name)}
              </button>`
            : nothing
        }
        <button ?disabled=${busy} @click=${() => this.busyWhile(this.kept?.duplicate(id))}>
          Duplicate${this.renderName(name)}
        </button>
        ${open === 'nowhere' ? this.renderDiscard(id, name, 'Discard') : nothing}
      </div>
    </li>`;
  }

  private renderUnreadable({ id, name, changed, unreadable }: KeptSession) {
    return html`<li>
      <div>
        <b>${name}</b>
        <small>
          ${unreadable === 'newer' ? 'of a newer Level Best: save it and open it there' : 'damaged'}, since
          ${when(changed)}
        </small>
      </div>
      <div class="does">
        <button ?disabled=${this.busy} @click=${() => this.busyWhile(this.kept?.save(id))}>
          Save…${this.renderName(name)}
        </button>
        ${this.renderDiscard(id, name, 'Discard')}
      </div>
    </li>`;
  }

  private renderDiscard(id: string, name: string, word: string) {
    return this.doomed === id
      ? html`<button class="sure" ?disabled=${this.busy} @click=${() => this.busyWhile(this.kept?.discard(id))}>
          ${word} for good${this.renderName(name)}
        </button>`
      : html`<button ?disabled=${this.busy} @click=${() => (this.doomed = id)}>${word}…${this.renderName(name)}</button>`;
  }

  /** Which one, for those who hear a button without its row. */
  private renderName(name: string) {
    return html`<span class="hidden">: ${name}</span>`;
  }

  private async openOne(id: string, copy = false): Promise<void> {
    await this.busyWhile(copy ? this.kept?.openCopy(id) : this.kept?.open(id));
    this.dialog?.close();
  }

  private async busyWhile(work: Promise<void> | undefined): Promise<void> {
    this.busy = true;
    try {
      await work;
    } finally {
      this.busy = false;
      this.doomed = null;
    }
  }
}

function when(changed: number): string {
  return new Date(changed).toLocaleString('en-GB', { dateStyle: 'medium', timeStyle: 'short' });
}

declare global {
  interface HTMLElementTagNameMap {
    'session-list': SessionList;
  }
}
