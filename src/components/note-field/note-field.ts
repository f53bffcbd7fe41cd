import { consume } from '@lit/context';
import { html, LitElement, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { keyed } from 'lit/directives/keyed.js';
import { LIMITS } from '../../session/document.ts';
import type { NotePlace } from '../../session/session-commands.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { base } from '../base/base.styles.ts';
import { disclosure } from '../base/disclosure.styles.ts';
import { sessionContext } from '../context/contexts.ts';
import { styles } from './note-field.styles.ts';

/** The engineer's words on one place of the session; they are stored when the field is left. */
@customElement('note-field')
export class NoteField extends LitElement {
  static override styles = [base, disclosure, styles];

  @consume({ context: sessionContext, subscribe: true }) private session?: SessionStore;
  @property({ attribute: false }) place: NotePlace = { kind: 'session' };
  @property() notes = '';
  /** What these notes are about, e.g. "Notes on Melodica". */
  @property() label = 'Notes';
  /** Folded behind its heading, which shows how the notes begin. */
  @property({ type: Boolean }) fold = false;

  override render() {
    if (!this.fold) return html`<label for="notes">${this.label}</label>${this.renderField()}`;
    return html`<details>
      <summary>Notes${this.notes ? html`<small class="beginning">${this.notes}</small>` : nothing}</summary>
      <label for="notes" class="hidden">${this.label}</label>${this.renderField()}
    </details>`;
  }

  /** Another place is another field: nothing typed for one may come to stand at the other. */
  private renderField() {
    return keyed(
      JSON.stringify(this.place),
      html`<textarea
        id="notes"
        rows="2"
        maxlength=${LIMITS.notes}
        .value=${this.notes}
        @change=${this.onChange}
        @keydown=${this.onKey}
      ></textarea>`,
    );
  }

  /** Escape leaves the field; so many words are kept all the same. */
  private onKey(event: KeyboardEvent): void {
    if (event.key === 'Escape' && !event.isComposing) (event.target as HTMLTextAreaElement).blur();
  }

  private onChange(event: Event): void {
    const notes = (event.target as HTMLTextAreaElement).value;
    this.session?.dispatch({ type: 'set-notes', place: this.place, notes });
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'note-field': NoteField;
  }
}
