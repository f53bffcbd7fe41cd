import { css, html, LitElement } from 'lit';
import { customElement, property, query } from 'lit/decorators.js';
import { base } from '../base/base.styles.ts';
import { asking, dialog } from '../base/dialog.styles.ts';

/**
 * Asks whether a trial shall really end here.
 *
 * @fires stop-trial - it shall.
 */
@customElement('stop-question')
export class StopQuestion extends LitElement {
  static override styles = [
    base,
    dialog,
    asking,
    css`
      dialog {
        --dialog-width: var(--pane-9);
      }
      dialog p {
        margin: var(--space-4) 0 var(--space-6);
      }
    `,
  ];

  /** What becomes of the answers. */
  @property() words = '';
  @query('dialog') private dialog!: HTMLDialogElement | null;

  get open(): boolean {
    return this.dialog?.open ?? false;
  }

  ask(): void {
    if (!this.open) this.dialog?.showModal();
  }

  override render() {
    return html`<dialog aria-labelledby="stop">
      <h2 id="stop">Stop the trial here?</h2>
      <p>${this.words}</p>
      <div class="answers">
        <button autofocus @click=${() => this.dialog?.close()}>Go on listening</button>
        <button class="primary" @click=${this.onStop}>Stop and show what there is</button>
      </div>
    </dialog>`;
  }

  private onStop(): void {
    this.dialog?.close();
    this.dispatchEvent(new CustomEvent('stop-trial'));
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'stop-question': StopQuestion;
  }
}
