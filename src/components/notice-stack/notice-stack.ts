import { html, LitElement, nothing } from 'lit';
import { customElement } from 'lit/decorators.js';
import { repeat } from 'lit/directives/repeat.js';
import type { Notice, NoticeStore } from '../../stores/notice-store.ts';
import { base } from '../base/base.styles.ts';
import { callout } from '../base/callout.styles.ts';
import { noticeContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { icons } from '../icons/icons.ts';
import { styles } from './notice-stack.styles.ts';

const WORDS: Record<Notice['kind'], string> = { info: 'Note', warning: 'Warning', fault: 'Fault' };

/** Sentences for the user; the newest stands last. Read out politely, and stay until dismissed. */
@customElement('notice-stack')
export class NoticeStack extends LitElement {
  static override styles = [base, callout, styles];

  @store(noticeContext) private store?: NoticeStore;

  override render() {
    return html`<div role="log" aria-live="polite" aria-label="Notices">
      ${repeat(
        this.store?.notices ?? [],
        ({ id }) => id,
        ({ id, kind, text, action }) => html`<div class="callout notice ${kind}">
          <p><b>${WORDS[kind]}</b> ${text}</p>
          ${action ? html`<button class="action" @click=${() => action.run()}>${action.label}</button>` : nothing}
          <button class="icon quiet" title="Dismiss" @click=${() => this.store?.dismiss(id)}>
            ${icons.remove}<span class="hidden">Dismiss: ${text}</span>
          </button>
        </div>`,
      )}
    </div>`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'notice-stack': NoticeStack;
  }
}
