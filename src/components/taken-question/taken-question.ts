import { css, html, LitElement, nothing } from 'lit';
import { customElement, query } from 'lit/decorators.js';
import type { SessionStore } from '../../stores/session-store.ts';
import { base } from '../base/base.styles.ts';
import { asking, dialog } from '../base/dialog.styles.ts';
import { sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';

/**
 * Says that another tab has the session that this one would show, and asks what to show instead. Opens by itself.
 *
 * @fires session-list-request - the list of sessions is wanted.
 */
@customElement('taken-question')
export class TakenQuestion extends LitElement {
  static override styles = [
    base,
    dialog,
    asking,
    css`
      dialog {
        --dialog-width: var(--pane-10);
      }
      h2 {
        overflow-wrap: anywhere;
      }
      p {
        margin: var(--space-4) 0 var(--space-6);
      }
    `,
  ];

  @store(sessionContext, (session) => session.files.kept) private session?: SessionStore;
  @query('dialog') private dialog?: HTMLDialogElement;

  get open(): boolean {
    return this.dialog?.open ?? false;
  }

  override updated(): void {
    const taken = this.session?.files.kept.taken;
    if (taken && !this.open) this.dialog?.showModal();
    if (!taken && this.open) this.dialog?.close();
  }

  override render() {
    const kept = this.session?.files.kept;
    const taken = kept?.taken;
    return html`<dialog aria-labelledby="taken" aria-describedby="why" @cancel=${this.onCancel}>
      ${
        kept && taken
          ? html`<h2 id="taken">“${taken.name}” is open in another tab</h2>
              <p id="why">
                One tab at a time works on a session, so that neither writes over the other. Go on with it there, or choose
                what to do here.
              </p>
              <div class="answers">
                <button @click=${() => kept.leaveTaken()}>New session</button>
                <button @click=${this.onOthers}>Other sessions…</button>
                <button class="primary" autofocus @click=${() => kept.openCopy(taken.id)}>Open a copy</button>
              </div>`
          : nothing
      }
    </dialog>`;
  }

  private onOthers(): void {
    this.session?.files.kept.leaveTaken();
    this.dispatchEvent(new CustomEvent('session-list-request', { bubbles: true, composed: true }));
  }

  private onCancel(event: Event): void {
    event.preventDefault();
    this.session?.files.kept.leaveTaken();
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'taken-question': TakenQuestion;
  }
}
