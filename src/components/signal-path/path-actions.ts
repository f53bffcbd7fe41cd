import { consume } from '@lit/context';
import { css, html, LitElement } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { stageKinds } from '../../engine/stages/catalogue.ts';
import { findRack, type RackId } from '../../session/document.ts';
import '../action-menu/action-menu.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import type { Action } from '../action-menu/action-menu.ts';
import { base } from '../base/base.styles.ts';
import { sessionContext } from '../context/contexts.ts';
import { gainBy } from '../rack-routing/strip-parameters.ts';
import { rackName } from '../rack-sheet/rack-facts.ts';
import '../value-slider/value-slider.ts';
import { channelsOf, gainMany, racksOn, routeMany, switchMany } from './many.ts';
import type { PathRow } from './places.ts';

const styles = css`
  :host {
    display: grid;
    align-content: center;
    height: var(--row-4);
    border-top: 1px solid var(--rule);
  }
  .bar {
    display: flex;
    align-items: center;
    gap: var(--space-2);
  }
  value-slider {
    --field-width: 6.2ch;
    margin-right: auto;
  }
`;

/** What can be done with the selected rows, in room that is kept for it. Each act is one step of undo. */
@customElement('path-actions')
export class PathActions extends LitElement {
  static override styles = [base, styles];

  @consume({ context: sessionContext, subscribe: true }) private session?: SessionStore;
  /** The selected rows, in their order. */
  @property({ attribute: false }) rows: readonly PathRow[] = [];

  override render() {
    const { session, rows } = this;
    if (!session) return html``;
    if (rows.length < 2) return html`<p class="small">Shift or Ctrl with a click selects several.</p>`;
    const strips = rows.filter(({ strip }) => strip !== null);
    const on = (what: 'mute' | 'solo') => strips.length > 0 && strips.every(({ strip }) => strip?.[what]);
    const letter = (what: 'mute' | 'solo', name: string) => html`<button
      class="icon"
      aria-label=${`${name} what is selected`}
      title=${`${name} all ${strips.length} (Shift ${name[0]})`}
      aria-pressed=${on(what)}
      ?disabled=${strips.length === 0}
      @click=${() => session.dispatch(switchMany(rows, what))}
    >
      ${name[0]}
    </button>`;
    return html`<div class="bar" role="toolbar" aria-label=${`${rows.length} selected`}>
      ${letter('mute', 'Mute')}${letter('solo', 'Solo')}
      <value-slider
        compact
        of="All selected"
        .declaration=${gainBy}
        .value=${0}
        .disabled=${strips.length === 0}
        @value-change=${(event: CustomEvent<{ value: number }>) => session.dispatch(gainMany(rows, event.detail.value))}
      ></value-slider>
      <action-menu
        label="Bus"
        name="Bus of what is selected"
        .disabled=${channelsOf(rows).length === 0}
        .actions=${this.busActions()}
      ></action-menu>
      <action-menu label="Racks" name="Racks of what is selected" .actions=${this.rackActions()}></action-menu>
    </div>`;
  }

  private busActions(): Action[] {
    const { rows } = this;
    const session = this.session!;
    return [
      { label: 'Straight to the mix', act: () => session.dispatch(routeMany(rows, null)) },
      ...session.document.buses.map(({ id, name }) => ({
        label: `To ${name}`,
        act: () => session.dispatch(routeMany(rows, id)),
      })),
      { label: 'To a new bus', act: () => session.addBus(channelsOf(rows)) },
    ];
  }

  private rackActions(): Action[] {
    const { rows } = this;
    const session = this.session!;
    const { document, selectedRack } = session;
    const ids = rows.map(({ id }) => id);
    const others = ids.filter((id) => id !== selectedRack);
    const copy = (toRackIds: RackId[]): Action => ({
      label: `Copy ${rackName(document, selectedRack)} to the others`,
      about: `The ${others.length} other selected racks get its stages in place of their own; undo brings them back`,
      act: () => session.dispatch({ type: 'copy-rack', fromRackId: selectedRack, toRackIds }),
    });
    return [
      ...stageKinds.map(({ id, label, about }) => ({
        label: `Add ${label} to each`,
        about,
        act: () => void session.addStages(ids, id),
      })),
      ...((findRack(document, selectedRack)?.stages.length ?? 0) > 0 ? [copy(others)] : []),
      { label: 'Racks on', act: () => session.dispatch(racksOn(rows, true)) },
      { label: 'Racks off', act: () => session.dispatch(racksOn(rows, false)) },
    ];
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'path-actions': PathActions;
  }
}
