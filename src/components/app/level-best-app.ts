import { provide } from '@lit/context';
import { html, LitElement, nothing } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { base } from '../base/base.styles.ts';
import '../bench-sheet/bench-sheet.ts';
import type { AnalysisStore } from '../../stores/analysis-store.ts';
import type { LevelStore } from '../../stores/level-store.ts';
import type { LiveStore } from '../../stores/live-store.ts';
import type { NoticeStore } from '../../stores/notice-store.ts';
import type { PlayerStore } from '../../stores/player-store.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import type { TakeHomeStore } from '../../stores/take-home-store.ts';
import type { BenchStore } from '../../stores/tone-bench-store.ts';
import type { TrialStore } from '../../stores/trial-store.ts';
import {
  analysisContext,
  benchContext,
  levelContext,
  liveContext,
  noticeContext,
  playerContext,
  sessionContext,
  takeHomeContext,
  trialContext,
} from '../context/contexts.ts';
import { Watch } from '../context/watch.ts';
import '../help-sheet/help-sheet.ts';
import type { HelpSheet } from '../help-sheet/help-sheet.ts';
import '../matched-switch/matched-switch.ts';
import '../notice-stack/notice-stack.ts';
import { rackName } from '../rack-sheet/rack-facts.ts';
import '../rack-sheet/rack-sheet.ts';
import '../scene-list/scene-list.ts';
import '../session-figures/session-figures.ts';
import '../session-title/session-title.ts';
import type { SessionTitle } from '../session-title/session-title.ts';
import '../signal-path/signal-path.ts';
import '../spectrum-plot/spectrum-plot.ts';
import '../take-home-sheet/take-home-sheet.ts';
import type { TakeHomeSheet } from '../take-home-sheet/take-home-sheet.ts';
import '../tone-plot/tone-plot.ts';
import '../transfer-sheet/transfer-sheet.ts';
import type { TransferSheet } from '../transfer-sheet/transfer-sheet.ts';
import '../transport-bar/transport-bar.ts';
import '../trial-sheet/trial-sheet.ts';
import { FileDrop } from './file-drop.ts';
import { bindKeys } from './keys.ts';
import { styles } from './level-best-app.styles.ts';

/** Up to this width the sheet is one column, and the switch stands beside Play. */
const NARROW = '(max-width: 860px)';

const SESSION_FILE = /\.(json|zip)$/i;

const tabs = [
  { id: 'programme', label: 'Programme', about: 'What plays: live spectrum, and tone over the match region' },
  { id: 'bench', label: 'Tone bench', about: 'Test signals through this rack, silently' },
] as const;

/**
 * The whole screen. Whoever wires the program sets its stores; everything below receives them by context. Audio files
 * and session files can be dropped anywhere.
 */
@customElement('level-best-app')
export class LevelBestApp extends LitElement {
  static override styles = [base, styles];

  @provide({ context: sessionContext }) @property({ attribute: false }) sessionStore!: SessionStore;
  @provide({ context: playerContext }) @property({ attribute: false }) playerStore!: PlayerStore;
  @provide({ context: analysisContext }) @property({ attribute: false }) analysisStore!: AnalysisStore;
  @provide({ context: liveContext }) @property({ attribute: false }) liveStore!: LiveStore;
  @provide({ context: noticeContext }) @property({ attribute: false }) noticeStore!: NoticeStore;
  /** Live loudness and true peak; without it the level panel shows dashes. */
  @provide({ context: levelContext }) @property({ attribute: false }) levelStore?: LevelStore;
  /** The tone bench; without it there is no tab for it. */
  @provide({ context: benchContext }) @property({ attribute: false }) benchStore?: BenchStore;
  /** Blind trials; without them there is no way in. */
  @provide({ context: trialContext }) @property({ attribute: false }) trialStore?: TrialStore;
  /** Export, report and import check; without them there is no way in. */
  @provide({ context: takeHomeContext }) @property({ attribute: false }) takeHomeStore?: TakeHomeStore;

  @state() private view: 'programme' | 'bench' = 'programme';
  @state() private narrow = matchMedia(NARROW).matches;
  @query('help-sheet') private help?: HelpSheet;
  @query('transfer-sheet') private transfer?: TransferSheet;
  @query('take-home-sheet') private takeHome?: TakeHomeSheet;
  @query('session-title') private titleBlock?: SessionTitle;
  readonly #media = matchMedia(NARROW);
  readonly #drop = new FileDrop(this, (files) => this.take(files));
  #releaseKeys: (() => void) | undefined;
  #wasInTrial = false;

  constructor() {
    super();
    new Watch(this, () => this.sessionStore);
    new Watch(this, () => this.trialStore);
  }

  override updated(): void {
    // What had the focus is gone with the trial.
    if (this.#wasInTrial && !this.inTrial) this.renderRoot.querySelector('main')?.focus({ preventScroll: true });
    this.#wasInTrial = this.inTrial;
  }

  /** From its opening to its closing a blind trial has the window for itself. */
  private get inTrial(): boolean {
    return this.trialStore !== undefined && this.trialStore.phase !== 'closed';
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.#media.addEventListener('change', this.#onMedia);
    this.#onMedia();
    this.#releaseKeys = bindKeys(window, {
      session: () => this.sessionStore,
      player: () => this.playerStore,
      levels: () => this.levelStore,
      help: () => this.help?.show(),
      trial: () => this.trialStore?.open(),
      takeHome: () => this.takeHome?.show(),
      inTrial: () => this.inTrial,
      dialogOpen: () =>
        this.help?.open || this.transfer?.open || this.takeHome?.open || this.titleBlock?.asking || false,
    });
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#media.removeEventListener('change', this.#onMedia);
    this.#releaseKeys?.();
  }

  readonly #onMedia = (): void => {
    this.narrow = this.#media.matches;
  };

  override render() {
    if (!this.sessionStore || !this.playerStore || !this.analysisStore || !this.liveStore || !this.noticeStore)
      return nothing;
    // Nothing that shows a name, a level or a knob is even there during a trial.
    if (this.inTrial) return html`<trial-sheet></trial-sheet>`;
    const { narrow } = this;
    const { selectedRack } = this.sessionStore;
    const name = rackName(this.sessionStore.document, selectedRack);
    return html`
      <main
        tabindex="-1"
        class=${narrow ? 'narrow' : ''}
        @help-request=${() => this.help?.show()}
        @take-home-request=${() => this.takeHome?.show()}
        @curve-request=${({ detail }: CustomEvent<{ rackId: string; stageId: string }>) =>
          this.transfer?.show(detail.rackId, detail.stageId)}
      >
        <div class="side">
          <session-title></session-title>
          <signal-path ?narrow=${narrow}></signal-path>
          <session-figures></session-figures>
          <scene-list ?narrow=${narrow}></scene-list>
        </div>
        <div class="sheet">
          <rack-sheet ?narrow=${narrow}></rack-sheet>
          <div class="below">
            ${this.benchStore ? this.renderTabs() : nothing}
            ${
              this.view === 'bench' && this.benchStore
                ? html`<div id="panel-bench" role="tabpanel" aria-labelledby="tab-bench">
                    <bench-sheet .rackId=${selectedRack} .rackName=${name}></bench-sheet>
                  </div>`
                : html`<div
                    id="panel-programme"
                    class="plots"
                    role=${this.benchStore ? 'tabpanel' : nothing}
                    aria-labelledby=${this.benchStore ? 'tab-programme' : nothing}
                  >
                    <spectrum-plot .rackId=${selectedRack} .rackName=${name}></spectrum-plot>
                    <tone-plot .rackId=${selectedRack} .rackName=${name}></tone-plot>
                  </div>`
            }
          </div>
        </div>
      </main>
      <footer>
        <notice-stack></notice-stack>
        <transport-bar ?narrow=${narrow}>
          ${narrow ? html`<matched-switch show="switch"></matched-switch>` : nothing}
        </transport-bar>
      </footer>
      ${
        this.#drop.hovering
          ? html`<div class="drop" role="status">
              <p><b>Drop audio files or a folder here</b>Each file becomes a channel. A session file opens instead. Nothing leaves this machine.</p>
            </div>`
          : nothing
      }
      <help-sheet></help-sheet>
      <transfer-sheet></transfer-sheet>
      <take-home-sheet></take-home-sheet>
    `;
  }

  /** A session file dropped on its own opens; anything else comes in as audio. */
  private take(files: readonly File[]): void {
    if (this.inTrial) return;
    const [file] = files;
    if (files.length === 1 && file && SESSION_FILE.test(file.name)) this.titleBlock?.openFile(file);
    else this.sessionStore?.addFiles(files);
  }

  private renderTabs() {
    return html`<div class="tabs" role="tablist" aria-label="What is measured" @keydown=${this.onTabKey}>
      ${tabs.map(
        ({ id, label, about }) => html`<button
          id=${`tab-${id}`}
          role="tab"
          title=${about}
          aria-selected=${this.view === id}
          aria-controls=${this.view === id ? `panel-${id}` : nothing}
          tabindex=${this.view === id ? 0 : -1}
          @click=${() => this.showView(id)}
        >
          ${label}
        </button>`,
      )}
    </div>`;
  }

  /** Changes what stands below the rack, and brings it into view. */
  private async showView(view: 'programme' | 'bench'): Promise<void> {
    this.view = view;
    await this.updateComplete;
    this.renderRoot.querySelector('[role=tabpanel]')?.scrollIntoView({ block: 'nearest' });
  }

  private async onTabKey(event: KeyboardEvent): Promise<void> {
    if (!['ArrowLeft', 'ArrowRight', 'Home', 'End'].includes(event.key)) return;
    event.preventDefault();
    const first = event.key === 'Home' || (event.key !== 'End' && this.view === 'bench');
    await this.showView(first ? 'programme' : 'bench');
    this.renderRoot.querySelector<HTMLElement>(`#tab-${this.view}`)?.focus();
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'level-best-app': LevelBestApp;
  }
}
