import { html, LitElement, nothing, svg } from 'lit';
import { customElement, query, state } from 'lit/decorators.js';
import { LIMITS, type SessionDocument } from '../../session/document.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import type { TakeHomeStore } from '../../stores/take-home-store.ts';
import { base } from '../base/base.styles.ts';
import { asking, dialog } from '../base/dialog.styles.ts';
import { disclosure } from '../base/disclosure.styles.ts';
import { progress } from '../base/progress.styles.ts';
import { sessionContext, takeHomeContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { icons } from '../icons/icons.ts';
import { onNameKey, takeName } from '../keys/name-field.ts';
import '../note-field/note-field.ts';
import '../session-list/session-list.ts';
import type { SessionList } from '../session-list/session-list.ts';
import '../taken-question/taken-question.ts';
import type { TakenQuestion } from '../taken-question/taken-question.ts';
import '../version-question/version-question.ts';
import type { VersionQuestion } from '../version-question/version-question.ts';
import { styles } from './session-title.styles.ts';

const AUDIO = 'audio/*,.wav,.wave,.flac,.aif,.aiff,.mp3,.ogg,.opus,.m4a,.caf';

const SESSION = '.json,.zip,application/json,application/zip';

/** What would take the place of the session, with the question and its answer. */
type Replacement =
  | { readonly what: 'new' }
  | { readonly what: 'demo' }
  | { readonly what: 'open'; readonly file: File };

/**
 * The sheet's title block: which session this is, bringing audio in, saving and opening it.
 *
 * @fires help-request - the help sheet is wanted.
 * @fires take-home-request - the export is wanted.
 */
@customElement('session-title')
export class SessionTitle extends LitElement {
  static override styles = [base, progress, disclosure, dialog, asking, styles];

  @store(
    sessionContext,
    (session) => session.files,
    (session) => session.files.kept,
  )
  private session?: SessionStore;
  @store(takeHomeContext) private takeHome?: TakeHomeStore;
  @state() private busy = false;
  @state() private asked: Replacement = { what: 'new' };
  @query('#audio') private picker!: HTMLInputElement;
  @query('#session') private sessionPicker!: HTMLInputElement;
  @query('dialog') private dialog?: HTMLDialogElement;
  @query('version-question') private versions?: VersionQuestion;
  @query('taken-question') private taken?: TakenQuestion;
  @query('session-list') private list?: SessionList;

  /** True while a question is on the screen. */
  get asking(): boolean {
    return [this.dialog, this.versions, this.taken, this.list].some((one) => one?.open);
  }

  override render() {
    if (!this.session) return nothing;
    const { busy } = this;
    const { document, canUndo, canRedo, undoAbout, redoAbout, undone } = this.session;
    return html`<header>
        <div class="brand">
          ${mark}
          <h1>Level Best</h1>
          <div class="history">
            <button class="icon quiet" title=${undoAbout ? `Undo ${undoAbout}` : 'Undo'} ?disabled=${!canUndo} @click=${() => this.session?.undo()}>
              ${icons.undo}<span class="hidden">Undo</span>
            </button>
            <button class="icon quiet" title=${redoAbout ? `Redo ${redoAbout}` : 'Redo'} ?disabled=${!canRedo} @click=${() => this.session?.redo()}>
              ${icons.redo}<span class="hidden">Redo</span>
            </button>
            <button class="quiet" title="Keys and words (key ?)" @click=${() => this.request('help-request')}>Help</button>
          </div>
        </div>
        <input
          class="name"
          type="text"
          aria-label="Session name"
          title=${document.name}
          maxlength=${LIMITS.name}
          autocomplete="off"
          spellcheck="false"
          .value=${document.name}
          @change=${(event: Event) =>
            takeName(event.target as HTMLInputElement, document.name, (name) =>
              this.session?.dispatch({ type: 'rename-session', name }),
            )}
          @keydown=${(event: KeyboardEvent) => onNameKey(event, document.name)}
        />
        <div class="facts">
          <p class="small ${document.channels.length > 0 ? 'line' : ''}" title=${undone ?? nothing}>
            <span role="status">${undone}</span>${undone ? nothing : summary(document)}
          </p>
          <button
            class="quiet"
            title="All sessions that this browser keeps: open, duplicate or discard one"
            @click=${() => this.list?.show()}
          >
            Sessions…
          </button>
        </div>
        ${this.renderReading()}
        <div class="actions">
          <button class="main" @click=${() => this.picker.click()}>Add audio files…</button>
          <button
            title="All audio files of a folder, in the order of their names; it can be dropped anywhere, too"
            @click=${() => this.session?.files.addFolder()}
          >
            Add a folder…
          </button>
          <button class="quiet" @click=${() => this.ask({ what: 'new' })}>New session</button>
          <button class="quiet" @click=${() => this.ask({ what: 'demo' })}>Demo session</button>
          <input
            id="audio"
            type="file"
            multiple
            accept=${AUDIO}
            hidden
            aria-label="Audio files"
            @change=${this.onFiles}
          />
        </div>
        ${this.renderFile(document)}
      </header>
      <version-question></version-question>
      <session-list></session-list>
      <taken-question @session-list-request=${() => this.list?.show()}></taken-question>
      <dialog aria-labelledby="question" aria-describedby="outcome">
        <h2 id="question">${question(this.asked)}</h2>
        <p id="outcome">
          ${
            this.session.files.kept.isKept
              ? `“${document.name}” stays in this browser: “Sessions…” brings it back. A file with its sound outlasts a browser whose data is cleared, too.`
              : `This browser window doesn't keep “${document.name}”: it goes with all that you made in it, unless you save it first.`
          }
        </p>
        <div class="answers">
          <button autofocus @click=${() => this.dialog?.close()}>Stay here</button>
          <button ?disabled=${busy} @click=${this.onSaveFirst}>Save with audio first…</button>
          <button class="primary" ?disabled=${busy} @click=${this.onAgreed}>${agreement(this.asked)}</button>
        </div>
      </dialog>`;
  }

  /** How far the reading of files is, and the way to end it. */
  private renderReading() {
    const reading = this.session?.files.reading;
    if (!reading) return nothing;
    const { done, total, file, step, share } = reading;
    const doing = step === 'reading' ? 'Reading' : 'Decoding';
    return html`<div class="reading">
      <label for="reading" title=${file}>${total === 1 ? `${doing} ${file}` : `${doing} ${done + 1} of ${total}: ${file}`}</label>
      <button class="quiet" @click=${() => this.session?.files.stopReading()}>Stop</button>
      <progress id="reading" max=${total} .value=${done + share}></progress>
    </div>`;
  }

  /** Everything that is about the session as a file. */
  private renderFile({ notes }: SessionDocument) {
    const { session, busy } = this;
    return html`<div class="file">
      ${this.renderExport()}
      <details>
      <summary>Save, open, notes</summary>
      <div class="files">
        <button
          title="Settings, scenes and notes as one file, without the sound files"
          ?disabled=${busy}
          @click=${() => this.busyWhile(session?.saveSession(false))}
        >
          Save session…
        </button>
        <button
          title="One file with the sound files in it"
          ?disabled=${busy}
          @click=${() => this.busyWhile(session?.saveSession(true))}
        >
          Save with audio…
        </button>
        <button
          title="A session file, with or without its sound files (.json, .zip); it can be dropped anywhere, too"
          ?disabled=${busy}
          @click=${() => this.sessionPicker.click()}
        >
          Open session…
        </button>
        <input
          id="session"
          type="file"
          accept=${SESSION}
          hidden
          aria-label="Session file"
          @change=${this.onSessionFile}
        />
      </div>
      <note-field label="Notes on the session" .notes=${notes}></note-field>
    </details>
    </div>`;
  }

  /** The way to the export, and how far one is that goes on behind. */
  private renderExport() {
    const work = this.takeHome?.work;
    const share = work?.share == null ? '' : ` ${Math.floor(100 * work.share)} %`;
    return this.takeHome
      ? html`<button
          class="export"
          title="Matched mixes, stems, a report, and the check of what came in (key E)"
          @click=${() => this.request('take-home-request')}
        >
          ${work ? `${work.doing}…${share}` : 'Export…'}
        </button>`
      : nothing;
  }

  /** Opens a session file, after a question where there are changes to lose. A rack's file goes to the starting points. */
  async openFile(file: File): Promise<void> {
    if (await this.session?.startingPoints.takeFile(file)) return;
    await this.ask({ what: 'open', file });
  }

  /** Only a session with something of one's own is worth a question. */
  private async ask(asked: Replacement): Promise<void> {
    this.asked = asked;
    await this.updateComplete;
    if (!this.session?.isWorthKeeping) await this.replace(asked);
    else if (!this.asking) this.dialog?.showModal();
  }

  /** Only a session that was saved gives way: a closed picker is no answer. */
  private async onSaveFirst(): Promise<void> {
    let saved: boolean | undefined = false;
    await this.busyWhile((async () => (saved = await this.session?.saveSession(true)))());
    if (saved) this.onAgreed();
  }

  private onAgreed(): void {
    this.dialog?.close();
    this.replace(this.asked);
  }

  private async replace(asked: Replacement): Promise<void> {
    if (asked.what === 'new') this.session?.startNewSession();
    else if (asked.what === 'demo') await this.busyWhile(this.session?.openDemo());
    else await this.busyWhile(this.session?.openSession(asked.file));
  }

  private async onSessionFile(): Promise<void> {
    const file = this.sessionPicker.files?.[0];
    this.sessionPicker.value = '';
    if (file) await this.openFile(file);
  }

  private async onFiles(): Promise<void> {
    const files = [...(this.picker.files ?? [])];
    this.picker.value = '';
    if (files.length > 0) await this.session?.addFiles(files);
  }

  private async busyWhile(work: Promise<unknown> | undefined): Promise<void> {
    this.busy = true;
    try {
      await work;
    } finally {
      this.busy = false;
    }
  }

  private request(name: 'help-request' | 'take-home-request'): void {
    this.dispatchEvent(new CustomEvent(name, { bubbles: true, composed: true }));
  }
}

function question(asked: Replacement): string {
  if (asked.what === 'open') return `Open “${asked.file.name}”?`;
  return asked.what === 'new' ? 'Start a new session?' : 'Open the demo session?';
}

function agreement({ what }: Replacement): string {
  if (what === 'open') return 'Open it';
  return what === 'new' ? 'Start a new session' : 'Open the demo session';
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
