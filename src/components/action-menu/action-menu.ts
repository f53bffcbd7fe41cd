import { html, LitElement } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { base } from '../base/base.styles.ts';
import { styles } from './action-menu.styles.ts';

export interface Action {
  readonly label: string;
  readonly about?: string;
  readonly act: () => void;
}

/** A button that opens a list of things to do. The arrows, Home and End go through it; Escape and Tab close it. */
@customElement('action-menu')
export class ActionMenu extends LitElement {
  static override styles = [base, styles];

  @property() label = '';
  /** The label as it is read out, where the one on the screen is short. */
  @property() name = '';
  @property({ type: Boolean }) disabled = false;
  @property({ attribute: false }) actions: readonly Action[] = [];
  @state() private open = false;
  @query('.opener') private opener!: HTMLButtonElement;
  @query('[popover]') private menu!: HTMLElement;

  override render() {
    return html`<button
        class="opener"
        popovertarget="menu"
        aria-haspopup="menu"
        aria-expanded=${this.open}
        aria-label=${this.name || this.label}
        ?disabled=${this.disabled}
      >
        ${this.label}
      </button>
      <div
        id="menu"
        popover
        role="menu"
        aria-label=${this.name || this.label}
        @beforetoggle=${this.onBeforeToggle}
        @toggle=${this.onToggle}
        @keydown=${this.onKey}
      >
        ${this.actions.map(
          (action) => html`<button
            role="menuitem"
            tabindex="-1"
            title=${action.about ?? action.label}
            @click=${() => this.run(action)}
          >
            ${action.label}
          </button>`,
        )}
      </div>`;
  }

  private get items(): HTMLElement[] {
    return [...this.renderRoot.querySelectorAll<HTMLElement>('[role=menuitem]')];
  }

  /** Below the button, or above it where there is more room. */
  private onBeforeToggle(event: ToggleEvent): void {
    if (event.newState !== 'open') return;
    const { left, top, bottom } = this.opener.getBoundingClientRect();
    const { style } = this.menu;
    const below = innerHeight - bottom > 260 || innerHeight - bottom > top;
    style.top = below ? `${bottom + 2}px` : '';
    style.bottom = below ? '' : `${innerHeight - top + 2}px`;
    style.left = `${Math.max(8, Math.min(left, innerWidth - 320))}px`;
  }

  private onToggle(event: ToggleEvent): void {
    this.open = event.newState === 'open';
    if (this.open) this.items[0]?.focus();
  }

  private onKey(event: KeyboardEvent): void {
    const { items } = this;
    const at = items.indexOf(event.target as HTMLElement);
    const last = items.length - 1;
    const to = { ArrowDown: at === last ? 0 : at + 1, ArrowUp: at === 0 ? last : at - 1, Home: 0, End: last }[
      event.key
    ];
    if (event.key === 'Tab') this.menu.hidePopover();
    if (to === undefined || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    // The list that the menu stands in has arrows of its own.
    event.stopPropagation();
    items[to]?.focus();
  }

  private run({ act }: Action): void {
    this.menu.hidePopover();
    this.opener.focus();
    act();
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'action-menu': ActionMenu;
  }
}
