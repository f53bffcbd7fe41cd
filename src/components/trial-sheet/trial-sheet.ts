import { html, LitElement, nothing } from 'lit';
import { customElement, state } from 'lit/decorators.js';
import type { PlayerStore } from '../../stores/player-store.ts';
import type { TrialStore } from '../../stores/trial-store.ts';
import { base } from '../base/base.styles.ts';
import { progress } from '../base/progress.styles.ts';
import { playerContext, trialContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import '../notice-stack/notice-stack.ts';
import './earlier-trials.ts';
import { firstDraft, stillThere, type TrialDraft } from './trial-draft.ts';
import './trial-outcome.ts';
import './trial-running.ts';
import './trial-setup.ts';
import { styles } from './trial-sheet.styles.ts';

/** A blind trial from the question to the outcome. While it runs there is nothing else on the screen. */
@customElement('trial-sheet')
export class TrialSheet extends LitElement {
  static override styles = [base, progress, styles];

  @store(trialContext) private trials?: TrialStore;
  @store(playerContext) private player?: PlayerStore;
  @state() private draft: TrialDraft | null = null;
  #phase: TrialStore['phase'] = 'closed';
  /** What there is to compare is not here yet. */
  #loading = false;

  override willUpdate(): void {
    const { trials } = this;
    if (trials?.phase !== 'setup') return;
    const wasLoading = this.#loading;
    this.#loading = this.player?.state === 'loading';
    const { draft } = this;
    if (draft === null) this.draft = firstDraft(trials);
    else this.draft = wasLoading ? { ...firstDraft(trials), kind: draft.kind } : stillThere(draft, trials);
  }

  override updated(): void {
    const phase = this.trials?.phase ?? 'closed';
    if (phase === this.#phase) return;
    this.#phase = phase;
    scrollTo({ top: 0 });
    // What one pressed is gone with the phase before; the other phases place the focus themselves.
    if (phase === 'setup') this.renderRoot.querySelector<HTMLElement>('h1')?.focus();
    if (phase === 'preparing') this.renderRoot.querySelector<HTMLElement>('.cancel')?.focus();
  }

  override render() {
    const { trials } = this;
    if (!trials || trials.phase === 'closed') return nothing;
    if (trials.phase === 'running') return html`<main class="running"><trial-running></trial-running></main>`;
    return html`<main>
      <header>
        <h1 tabindex="-1">Blind trial</h1>
        ${trials.phase === 'preparing' ? nothing : html`<button @click=${() => trials.close()}>Back to the session</button>`}
      </header>
      ${trials.phase === 'done' ? html`<trial-outcome></trial-outcome>` : nothing}
      ${trials.phase === 'preparing' ? this.renderPreparing(trials.progress) : nothing}
      ${trials.phase === 'setup' ? this.renderSetup() : nothing}
      <notice-stack></notice-stack>
    </main>`;
  }

  private renderSetup() {
    return html`<trial-setup
        .draft=${this.draft}
        @draft-change=${({ detail }: CustomEvent<TrialDraft>) => (this.draft = detail)}
      ></trial-setup>
      <earlier-trials></earlier-trials>`;
  }

  private renderPreparing(progress: number) {
    const share = Math.round(100 * progress);
    return html`<section class="preparing" aria-labelledby="preparing">
      <h2 id="preparing">Rendering every sound and matching it in loudness…</h2>
      <progress aria-labelledby="preparing" max="100" .value=${share}>${share} %</progress>
      <button class="cancel" @click=${() => this.trials?.cancel()}>Cancel</button>
    </section>`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'trial-sheet': TrialSheet;
  }
}
