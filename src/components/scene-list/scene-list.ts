import { html, LitElement, nothing } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { repeat } from 'lit/directives/repeat.js';
import { type ContinuousParameter, formatValue } from '../../engine/parameters.ts';
import {
  CLEAN,
  CURRENT,
  findRack,
  LIMITS,
  type RackId,
  rackIds,
  type Scene,
  type SessionDocument,
} from '../../session/document.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { base } from '../base/base.styles.ts';
import { disclosure } from '../base/disclosure.styles.ts';
import { sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { figure } from '../format/figures.ts';
import { icons } from '../icons/icons.ts';
import { onNameKey, takeName } from '../keys/name-field.ts';
import '../note-field/note-field.ts';
import '../value-slider/value-slider.ts';
import { styles } from './scene-list.styles.ts';

const [LEAST, MOST] = LIMITS.allDrivesDb;

const allDrives: ContinuousParameter = {
  id: 'allDrives',
  label: 'All drives',
  about: 'Moves the drive of every stage by the same dB. Clean is an end point of its own.',
  place: 'face',
  type: 'continuous',
  unit: 'dB',
  min: LEAST,
  max: MOST,
  default: 0,
  taper: 'linear',
  step: 0.5,
  digits: 1,
};

/** What moves all racks at once: stored scenes, the drive of every stage, and the alignment level. */
@customElement('scene-list')
export class SceneList extends LitElement {
  static override styles = [base, disclosure, styles];

  @store(sessionContext) private session?: SessionStore;
  /** Folded at first, for narrow screens. */
  @property({ type: Boolean, reflect: true }) narrow = false;
  @state() private aligning = false;

  override render() {
    if (!this.session) return nothing;
    const { session } = this;
    const { scenes, allDrivesDb } = session.document;
    return html`<section aria-labelledby="heading">
      <details ?open=${!this.narrow}>
        <summary>
          <h2 id="heading">Scenes and drives</h2>
          ${allDrivesDb === 0 ? nothing : html`<small>all drives ${formatValue(allDrives, allDrivesDb)}</small>`}
        </summary>
        <button
          class="quiet store"
          title="Keeps the settings of all racks as they are now"
          ?disabled=${scenes.length >= LIMITS.scenes}
          @click=${this.store}
        >
          ${icons.add}<span>Keep scene</span>
        </button>
        ${
          scenes.length === 0
            ? nothing
            : html`<ul aria-label="Scenes">
                ${repeat(
                  scenes,
                  ({ id }) => id,
                  (scene) => this.renderScene(scene),
                )}
              </ul>`
        }
        <value-slider
          .declaration=${allDrives}
          .value=${allDrivesDb}
          @value-change=${(event: CustomEvent<{ value: number }>) =>
            session.dispatch({ type: 'set-all-drives', db: event.detail.value })}
        ></value-slider>
        <p class="small">0 dB is as set. Clean is an end point of its own.</p>
        ${this.renderAlignment(session.document, session.selectedRack)}
      </details>
    </section>`;
  }

  private renderScene({ id, name, notes }: Scene) {
    const session = this.session!;
    const { a, b } = session.document.sides;
    return html`<li>
      <input
        type="text"
        aria-label=${`Name of scene ${name}`}
        title=${name}
        maxlength=${LIMITS.name}
        autocomplete="off"
        data-scene=${id}
        .value=${name}
        @change=${(event: Event) =>
          takeName(event.target as HTMLInputElement, name, (typed) =>
            session.dispatch({ type: 'rename-scene', sceneId: id, name: typed }),
          )}
        @keydown=${(event: KeyboardEvent) => onNameKey(event, name)}
      />
      <span class="sides" role="group" aria-label=${`Sides that ${name} stands on`}>
        ${this.renderSide('a', id, name, a)}${this.renderSide('b', id, name, b)}
      </span>
      <button
        class="icon quiet"
        title="Remove this scene (undo brings it back)"
        @click=${() => session.dispatch({ type: 'remove-scene', sceneId: id })}
      >
        ${icons.remove}<span class="hidden">Remove ${name}</span>
      </button>
      <note-field
        fold
        label=${`Notes on scene ${name}`}
        .place=${{ kind: 'scene', sceneId: id } as const}
        .notes=${notes}
      ></note-field>
      <button
        class="quiet recall"
        title="All racks become as they are in this scene; undo brings them back"
        aria-label=${`Bring back ${name}`}
        @click=${() => session.dispatch({ type: 'recall-scene', sceneId: id })}
      >
        Bring back
      </button>
      <button
        class="quiet update"
        title="This scene takes the racks as they are now"
        aria-label=${`Set to now: ${name}`}
        @click=${() => session.dispatch({ type: 'update-scene', sceneId: id })}
      >
        Set to now
      </button>
    </li>`;
  }

  /** Says whether the scene stands on a side of the switch, and puts it there or takes it away. */
  private renderSide(side: 'a' | 'b', sceneId: string, name: string, now: string) {
    const stands = now === sceneId;
    const letter = side.toUpperCase();
    const own = side === 'a' ? CLEAN : CURRENT;
    return html`<button
      class="side"
      aria-pressed=${stands}
      aria-label=${`${name} on side ${letter}`}
      title=${stands ? `Stands on side ${letter} of the switch; press to take it away` : `Put on side ${letter} of the switch`}
      @click=${() => this.session?.dispatch({ type: 'set-sides', [side]: stands ? own : sceneId })}
    >
      ${letter}
    </button>`;
  }

  private renderAlignment(document: SessionDocument, selectedRack: RackId) {
    const level = `${figure(document.alignmentDbfs, { digits: 0 })} dBFS`;
    const withStages = rackIds(document).filter((id) => (findRack(document, id)?.stages.length ?? 0) > 0);
    return html`<div
      class="align"
      role="group"
      aria-labelledby="align"
      title=${`Trims put the programme at each stage's input at ${level} and give the output back at the same loudness`}
    >
      <span id="align">${this.aligning ? 'Aligning…' : `Trim to ${level}`}</span>
      <button
        ?disabled=${this.aligning || !withStages.includes(selectedRack)}
        @click=${() => this.align([selectedRack])}
      >
        This rack
      </button>
      <button ?disabled=${this.aligning || withStages.length === 0} @click=${() => this.align(withStages)}>
        All racks
      </button>
    </div>`;
  }

  /** Stores a scene and offers its name for typing over. */
  private async store(): Promise<void> {
    const session = this.session!;
    const id = session.newId('scene');
    const taken = new Set(session.document.scenes.map(({ name }) => name));
    let number = session.document.scenes.length + 1;
    while (taken.has(`Scene ${number}`)) number++;
    session.dispatch({ type: 'store-scene', id, name: `Scene ${number}` });
    this.requestUpdate();
    await this.updateComplete;
    const field = [...this.renderRoot.querySelectorAll<HTMLInputElement>('li input')].find(
      ({ dataset }) => dataset.scene === id,
    );
    field?.focus();
    field?.select();
  }

  private async align(racks: readonly RackId[]): Promise<void> {
    this.aligning = true;
    try {
      await this.session?.setToAlignment(racks);
    } finally {
      this.aligning = false;
    }
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'scene-list': SceneList;
  }
}
