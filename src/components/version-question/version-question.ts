import { css, html, LitElement, nothing } from 'lit';
import { customElement, query } from 'lit/decorators.js';
import { repeat } from 'lit/directives/repeat.js';
import type { AudioReference } from '../../session/document.ts';
import type { FileVersion, FileVersionAnswer } from '../../stores/file-store.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { base } from '../base/base.styles.ts';
import { asking, dialog } from '../base/dialog.styles.ts';
import { rowList } from '../base/row-list.styles.ts';
import { sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { clock } from '../format/figures.ts';

const ANSWERS: readonly (readonly [FileVersionAnswer, string])[] = [
  ['use', 'Use it instead'],
  ['add', 'Add it as a channel'],
  ['leave', 'Leave it out'],
];

/** Asks what is to become of files that are other versions of the session's own. Opens by itself when there are any. */
@customElement('version-question')
export class VersionQuestion extends LitElement {
  static override styles = [
    base,
    dialog,
    asking,
    rowList,
    css`
      dialog {
        --dialog-width: var(--pane-10);
      }
      h2 {
        overflow-wrap: anywhere;
      }
      p {
        margin: var(--space-4) 0;
      }
      ul {
        margin-bottom: var(--space-6);
      }
    `,
  ];

  @store(sessionContext, (session) => session.files) private session?: SessionStore;
  @query('dialog') private dialog?: HTMLDialogElement;

  get open(): boolean {
    return this.dialog?.open ?? false;
  }

  override updated(): void {
    const waits = (this.session?.files.versions.length ?? 0) > 0;
    if (waits && !this.open) this.dialog?.showModal();
    if (!waits && this.open) this.dialog?.close();
  }

  override render() {
    const versions = this.session?.files.versions ?? [];
    const [first] = versions;
    return html`<dialog aria-labelledby="question" @cancel=${this.onCancel}>
      ${first === undefined ? nothing : this.renderQuestion(versions, first)}
    </dialog>`;
  }

  private renderQuestion(versions: readonly FileVersion[], first: FileVersion) {
    const one = versions.length === 1;
    return html`<form @submit=${this.onSubmit}>
      <h2 id="question">${one ? question(first) : `${versions.length} files are other versions of files in the session: use them?`}</h2>
      <p>Racks, gains and notes of the channel stay as they are. Undo brings the earlier file back.</p>
      <ul>
        ${repeat(
          versions,
          ({ id }) => id,
          (version) => this.renderVersion(version, one),
        )}
      </ul>
      <div class="answers">
        <button type="button" @click=${() => this.answer([])}>${one ? 'Leave it out' : 'Leave all out'}</button>
        ${
          one
            ? html`<button type="button" @click=${() => this.answer([[first.id, 'add']])}>Add it as a channel</button>
                <button class="primary" autofocus>Use it instead</button>`
            : html`<button class="primary" autofocus>Do this</button>`
        }
      </div>
    </form>`;
  }

  private renderVersion({ id, channels, file, before }: FileVersion, one: boolean) {
    return html`<li>
      <div>
        ${one ? nothing : html`<label for=${`answer-${id}`}>${file.file}</label>`}
        <small>For ${channels.join(', ')}. This one: ${facts(file)}. Now: ${facts(before)}.</small>
      </div>
      ${
        one
          ? html`<input type="hidden" name=${id} value="use" />`
          : html`<select id=${`answer-${id}`} name=${id}>
              ${ANSWERS.map(([answer, label]) => html`<option value=${answer}>${label}</option>`)}
            </select>`
      }
    </li>`;
  }

  private onSubmit(event: SubmitEvent): void {
    event.preventDefault();
    const fields = new FormData(event.target as HTMLFormElement);
    this.answer([...fields].map(([id, answer]) => [Number(id), answer as FileVersionAnswer]));
  }

  private onCancel(event: Event): void {
    event.preventDefault();
    this.answer([]);
  }

  private answer(answers: [number, FileVersionAnswer][]): void {
    this.session?.files.answerVersions(new Map(answers));
  }
}

function question({ file, before }: FileVersion): string {
  return file.file === before.file
    ? `This is another version of “${file.file}”: use it?`
    : `“${file.file}” is another file than “${before.file}”: use it instead?`;
}

function facts({ frames, sampleRate, channelCount }: AudioReference): string {
  const width = channelCount === 1 ? 'mono' : channelCount === 2 ? 'stereo' : `${channelCount} channels`;
  return `${clock(frames / sampleRate)}, ${width}, ${sampleRate / 1000} kHz`;
}

declare global {
  interface HTMLElementTagNameMap {
    'version-question': VersionQuestion;
  }
}
