import { consume } from '@lit/context';
import { html, LitElement, nothing } from 'lit';
import { customElement, state } from 'lit/decorators.js';
import { base } from '../base/base.styles.ts';
import type { KeptSession } from '../context/file-store.ts';
import { type SessionStore, sessionContext } from '../context/stores.ts';
import { Watch } from '../context/watch.ts';
import { styles } from './kept-sessions.styles.ts';

/** Sessions in the browser's store that this tool can't read: to be saved as files, or given up. Nothing where there are none. */
@customElement('kept-sessions')
export class KeptSessions extends LitElement {
  static override styles = [base, styles];

  @consume({ context: sessionContext, subscribe: true }) private session?: SessionStore;
  /** The one that is to go, until that is said a second time. */
  @state() private doomed: string | null = null;

  constructor() {
    super();
    new Watch(this, () => this.session?.files.kept);
  }

  override render() {
    const sessions = this.session?.files.kept.sessions ?? [];
    if (sessions.length === 0) return nothing;
    return html`<h3>Kept, not readable here</h3>
      <ul>
        ${sessions.map((one) => this.renderSession(one))}
      </ul>`;
  }

  private renderSession({ key, name, reason, day }: KeptSession) {
    const kept = this.session!.files.kept;
    const doomed = this.doomed === key;
    return html`<li>
      <span>${name}</span>
      <small>${reason === 'newer' ? 'of a newer Level Best: save it and open it there' : 'damaged'}, since ${day}</small>
      <button @click=${() => kept.save(key)}>Save…<span class="hidden"> ${name}</span></button>
      ${
        doomed
          ? html`<button class="sure" @click=${() => kept.forget(key)}>Give up for good<span class="hidden">: ${name}</span></button>`
          : html`<button @click=${() => (this.doomed = key)}>Give up…<span class="hidden"> ${name}</span></button>`
      }
    </li>`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'kept-sessions': KeptSessions;
  }
}
