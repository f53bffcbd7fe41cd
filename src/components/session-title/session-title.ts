import { consume } from '@lit/context';
import { html, LitElement, nothing, svg } from 'lit';
import { customElement, query, state } from 'lit/decorators.js';
import type { SessionDocument } from '../../session/document.ts';
import { base } from '../base/base.styles.ts';
import { type SessionStore, sessionContext } from '../context/stores.ts';
import { Watch } from '../context/watch.ts';
import { icons } from '../icons/icons.ts';
import { styles } from './session-title.styles.ts';

const AUDIO = 'audio/*,.wav,.wave,.flac,.aif,.aiff,.mp3,.ogg,.opus,.m4a,.caf';

/**
 * The sheet's title block: which session this is, and bringing audio in.
 *
 * @fires help-request - the help sheet is wanted.
 */
@customElement('session-title')
export class SessionTitle extends LitElement {
  static override styles = [base, styles];

  @consume({ context: sessionContext, subscribe: true }) private session?: SessionStore;
  @state() private busy = false;
  @state() private asked: 'new' | 'demo' = 'new';
  @query('input[type=file]') private picker!: HTMLInputElement;
  @query('dialog') private dialog?: HTMLDialogElement;

  constructor() {
    super();
    new Watch(this, () => this.session);
  }

  /** True while a question is on the screen. */
  get asking(): boolean {
    return this.dialog?.open ?? false;
  }

  override render() {
    if (!this.session) return nothing;
    const { document, canUndo, canRedo } = this.session;
    return html`<header>
        <div class="brand">
          ${mark}
          <h1>Level Best</h1>
          <div class="history">
            <button class="icon quiet" title="Undo" ?disabled=${!canUndo} @click=${() => this.session?.undo()}>
              ${icons.undo}<span class="hidden">Undo</span>
            </button>
            <button class="icon quiet" title="Redo" ?disabled=${!canRedo} @click=${() => this.session?.redo()}>
              ${icons.redo}<span class="hidden">Redo</span>
            </button>
            <button class="quiet" title="Keys and words (key ?)" @click=${this.onHelp}>Help</button>
          </div>
        </div>
        <p class="name" title=${document.name}>${document.name}</p>
        <p class="small">${summary(document)}</p>
        <div class="actions">
          <button class="main" ?disabled=${this.busy} @click=${() => this.picker.click()}>
            ${this.busy ? 'Reading files…' : 'Add audio files…'}
          </button>
          <button class="quiet" @click=${() => this.ask('new')}>New session</button>
          <button class="quiet" @click=${() => this.ask('demo')}>Demo session</button>
          <input type="file" multiple accept=${AUDIO} hidden aria-label="Audio files" @change=${this.onFiles} />
        </div>
      </header>
      <dialog aria-labelledby="question">
        <h2 id="question">${this.asked === 'new' ? 'Start a new session?' : 'Open the demo session?'}</h2>
        <p>It takes the place of “${document.name}”, with the changes you made to it.</p>
        <div class="answers">
          <button autofocus @click=${() => this.dialog?.close()}>Keep this session</button>
          <button class="main" @click=${this.onAgreed}>
            ${this.asked === 'new' ? 'Start a new session' : 'Open the demo session'}
          </button>
        </div>
      </dialog>`;
  }

  /** Only a session with changes of one's own is worth a question. */
  private async ask(what: 'new' | 'demo'): Promise<void> {
    this.asked = what;
    await this.updateComplete;
    if (this.session?.canUndo) this.dialog?.showModal();
    else this.replace(what);
  }

  private onAgreed(): void {
    this.dialog?.close();
    this.replace(this.asked);
  }

  private async replace(what: 'new' | 'demo'): Promise<void> {
    if (what === 'new') this.session?.startNewSession();
    else await this.busyWhile(this.session?.openDemo());
  }

  private async onFiles(): Promise<void> {
    const files = [...(this.picker.files ?? [])];
    this.picker.value = '';
    if (files.length > 0) await this.busyWhile(this.session?.addFiles(files));
  }

  private async busyWhile(work: Promise<void> | undefined): Promise<void> {
    this.busy = true;
    try {
      await work;
    } finally {
      this.busy = false;
    }
  }

  private onHelp(): void {
    this.dispatchEvent(new CustomEvent('help-request', { bubbles: true, composed: true }));
  }
}

function summary({ channels, buses }: SessionDocument): string {
  if (channels.length === 0) return 'No audio yet: add files here, or drop them anywhere.';
  const counted = (n: number, one: string, many: string) => (n === 0 ? [] : [`${n} ${n === 1 ? one : many}`]);
  return [...counted(channels.length, 'channel', 'channels'), ...counted(buses.length, 'bus', 'buses'), 'mix'].join(
    ', ',
  );
}

/** A level line, and one that takes steps and comes back to it. */
const mark = html`<svg class="mark" viewBox="0 0 32 20" aria-hidden="true">
  ${svg`<path class="clean" d="M1 10H31" /><path class="coloured" d="M1 10h4.5l4-7h6l4.5 14h4l2.5-7H31" />`}
</svg>`;

declare global {
  interface HTMLElementTagNameMap {
    'session-title': SessionTitle;
  }
}
