import { css, html, LitElement, nothing } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import {
  type DriveLink,
  LIMITS,
  type LinkMember,
  linkOf,
  type RackId,
  type SessionDocument,
} from '../../session/document.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { base } from '../base/base.styles.ts';
import { checkList } from '../base/check-list.styles.ts';
import { disclosure } from '../base/disclosure.styles.ts';
import { sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { figure } from '../format/figures.ts';
import { isSame, type Linkable, linkables } from './linkable.ts';

const MODES: readonly (readonly [DriveLink['mode'], string, string])[] = [
  ['relative', 'by the same dB', 'Move one and the others move by as much'],
  ['absolute', 'to the same value', 'Move one and the others come to its value; until then nothing moves'],
];

/** Makes, changes and leaves the link of one stage's drive with the drives of other stages, of any rack. */
@customElement('drive-link')
export class DriveLinkEditor extends LitElement {
  static override styles = [
    base,
    disclosure,
    checkList,
    css`
      .modes {
        display: flex;
        flex-wrap: wrap;
        gap: 0 var(--space-5);
      }
      .list {
        margin: var(--space-1) 0;
      }
      [role='group'] {
        padding: var(--space-1) var(--space-1);
      }
      [role='group'] + [role='group'] {
        border-top: 1px solid var(--rule);
      }
      .list:empty {
        display: none;
      }
      button {
        width: 100%;
      }
    `,
  ];

  @store(sessionContext) private session?: SessionStore;
  @property() rackId: RackId = '';
  @property() stageId = '';
  /** What a link that is made from here begins with. */
  @state() private mode: DriveLink['mode'] = 'relative';
  /** Folded, it lists nothing: in a large session there are hundreds of drives. */
  @state() private open = false;
  @query('details') private details?: HTMLDetailsElement;

  /** Unfolds it and takes the focus. */
  show(): void {
    if (!this.details) return;
    this.details.open = true;
    this.details.querySelector('summary')?.focus();
    this.details.scrollIntoView({ block: 'nearest' });
  }

  private get own(): LinkMember {
    return { rackId: this.rackId, stageId: this.stageId };
  }

  override render() {
    const document = this.session?.document;
    if (!document) return nothing;
    return html`<details @toggle=${(event: Event) => (this.open = (event.target as HTMLDetailsElement).open)}>
      <summary>Link drive with…</summary>
      ${this.open ? this.renderContent(document) : nothing}
    </details>`;
  }

  private renderContent(document: SessionDocument) {
    const { own } = this;
    const others = linkables(document, this.rackId).filter((one) => !isSame(one, own));
    const link = linkOf(document, own);
    const full = !link && document.links.length >= LIMITS.links;
    const racks = [...new Set(others.map(({ rackId }) => rackId))];
    return html`${others.length === 0 ? html`<p class="small">There is no other stage in the session yet.</p>` : nothing}
      ${full ? html`<p class="small">A session holds ${LIMITS.links} links. Take one apart to make another.</p>` : nothing}
      ${others.length === 0 ? nothing : this.renderMode(link)}
      <div class="list">
        ${racks.map((rackId) =>
          this.renderRack(
            others.filter((one) => one.rackId === rackId),
            link,
            full,
          ),
        )}
      </div>
      ${
        link
          ? html`<button
              title="The others stay linked with each other"
              @click=${() => this.session?.dispatch({ type: 'unlink-drive', ...own })}
            >
              Take this drive out
            </button>`
          : nothing
      }`;
  }

  private renderMode(link: DriveLink | undefined) {
    const now = link?.mode ?? this.mode;
    return html`<div class="modes" role="radiogroup" aria-label="Linked drives move">
      ${MODES.map(
        ([mode, label, about]) => html`<label title=${about}
          ><input
            type="radio"
            name="mode"
            value=${mode}
            .checked=${live(mode === now)}
            @change=${() => this.setMode(mode, link)}
          /><span>${label}</span></label
        >`,
      )}
    </div>`;
  }

  private renderRack(list: readonly Linkable[], link: DriveLink | undefined, full: boolean) {
    const [{ rack }] = list;
    return html`<div role="group" aria-label=${rack}>
      <p class="small" aria-hidden="true">${rack}</p>
      ${list.map((one) => {
        const linked = link !== undefined && one.link === link;
        return html`<label
          ><input
            type="checkbox"
            .checked=${live(linked)}
            ?disabled=${full}
            @change=${(event: Event) => this.set(one, (event.target as HTMLInputElement).checked, link)}
          /><span>${one.stage}</span>
            <small>${one.link && !linked ? 'in another link, ' : ''}${figure(one.driveDb, { digits: 1, signed: true, unit: 'dB' })}</small></label
        >`;
      })}
    </div>`;
  }

  private setMode(mode: DriveLink['mode'], link: DriveLink | undefined): void {
    this.mode = mode;
    if (link) this.session?.dispatch({ type: 'set-link-mode', linkId: link.id, mode });
  }

  /** A link that gets one more is a new one with all of them; the old one is gone with its last but one. */
  private set({ rackId, stageId }: LinkMember, on: boolean, link: DriveLink | undefined): void {
    const session = this.session!;
    if (!on) {
      session.dispatch({ type: 'unlink-drive', rackId, stageId });
      return;
    }
    const members = [...(link?.members ?? [this.own]), { rackId, stageId }];
    session.dispatch({ type: 'link-drives', id: session.newId('link'), mode: link?.mode ?? this.mode, members });
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'drive-link': DriveLinkEditor;
  }
}
