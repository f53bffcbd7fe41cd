import { html, LitElement } from 'lit';
import { customElement, query } from 'lit/decorators.js';
import { base } from '../base/base.styles.ts';
import { dialog } from '../base/dialog.styles.ts';
import '../kind-guide/kind-guide.ts';
import type { KindGuideList } from '../kind-guide/kind-guide.ts';
import { TRIAL_KEYS } from '../trial-sheet/trial-keys.ts';
import { styles } from './help-sheet.styles.ts';

const MAC = /Mac|iPhone|iPad/.test(navigator.platform);
const COMMAND = MAC ? '⌘' : 'Ctrl';

type Keys = readonly (readonly [keys: readonly string[], does: string])[];

const groups: readonly (readonly [title: string, keys: Keys])[] = [
  [
    'Listening',
    [
      [['Space'], 'Play or stop, after a click too; where Tab led to a button, it presses that'],
      [['Esc'], 'Mute everything at once, from anywhere; outside fields also release it'],
      [['1', '2', '3'], 'Clean, coloured, added; or the scenes that stand there'],
      [['X'], 'Flip between clean and coloured'],
      [['R'], 'Start the live levels anew'],
      [['M'], 'Loudness matching on or off'],
    ],
  ],
  ['Blind trial', [[['B'], 'Set one up; while it is open these keys and no others count'], ...TRIAL_KEYS]],
  [
    'Place in time',
    [
      [['←', '→'], 'On the waveform: one second; with Shift a tenth'],
      [['I', 'O'], 'The loop starts here, ends here'],
      [['L'], 'Clear the loop'],
    ],
  ],
  [
    'Values',
    [
      [['↑', '↓'], 'One step; with Shift a tenth of it'],
      [['Page ↑', 'Page ↓'], 'Ten steps'],
      [['Delete'], 'Back to the default (or double click)'],
      [['Enter', 'Esc'], 'In a figure or a name: take over what you typed, or give it up'],
    ],
  ],
  [
    'Session',
    [
      [['↑', '↓'], 'In the signal path: choose a rack'],
      [['Shift ↑', 'Shift ↓', `${COMMAND} A`], 'There: select several; all channels. With a click: Shift, Ctrl'],
      [['Alt ↑', 'Alt ↓'], 'In the signal path: move the channel or bus (or drag it)'],
      [['Shift M', 'Shift S'], 'Mute, solo the chosen channels and buses'],
      [[`${COMMAND} Z`], 'Undo'],
      [[`Shift ${COMMAND} Z`, `${COMMAND} Y`], 'Redo'],
      [['E'], 'Export, report, import check'],
      [['?'], 'This sheet'],
    ],
  ],
];

/** The keys and how to read the sheet, as a native dialog. */
@customElement('help-sheet')
export class HelpSheet extends LitElement {
  static override styles = [base, dialog, styles];

  @query('dialog') private dialog!: HTMLDialogElement;
  @query('kind-guide') private guide?: KindGuideList;

  show(): void {
    if (!this.dialog.open) this.dialog.showModal();
    this.guide?.show();
  }

  get open(): boolean {
    return this.dialog?.open ?? false;
  }

  override render() {
    return html`<dialog aria-labelledby="title" @click=${this.onBackdrop}>
      <div class="content">
        <div class="heading">
          <h2 id="title">How to read and play this sheet</h2>
          <button autofocus @click=${() => this.dialog.close()}>Close</button>
        </div>
        <p>
          Sound runs from In to Out through the stages of each rack. One switch puts the whole session, every rack at once,
          to clean or coloured at the same loudness, so that what you hear is the colour and not the level. Added is what the
          stages put in, alone.
        </p>
        <ul class="marks">
          <li><i class="clean"></i>clean: thin, ink</li>
          <li><i class="coloured"></i>coloured: heavy, iron-red</li>
          <li><i class="added"></i>added: dotted</li>
          <li><i class="odd"></i>odd harmonic: filled</li>
          <li><i class="even"></i>even harmonic: outlined</li>
        </ul>
        <div class="groups">
          ${groups.map(
            ([title, keys]) => html`<section>
              <h3>${title}</h3>
              <table>
                <tbody>
                  ${keys.map(
                    ([pressed, does]) => html`<tr>
                      <th scope="row">${pressed.map((key) => html`<kbd>${key}</kbd> `)}</th>
                      <td>${does}</td>
                    </tr>`,
                  )}
                </tbody>
              </table>
            </section>`,
          )}
        </div>
        <kind-guide></kind-guide>
        <p class="small">
          Nothing leaves this machine. Nothing sounds until you press Play. The output guard only catches accidents above the
          true-peak ceiling, and it says so when it acts. A dash instead of a figure says why when you point at it.
        </p>
      </div>
    </dialog>`;
  }

  /** A click beside the sheet closes it. */
  private onBackdrop(event: MouseEvent): void {
    if (event.target === this.dialog) this.dialog.close();
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'help-sheet': HelpSheet;
  }
}
