import { consume } from '@lit/context';
import { css, html, LitElement } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import type { ChoiceParameter, Parameter, ParameterValue } from '../../engine/parameters.ts';
import type { RackId } from '../../session/document.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { base } from '../base/base.styles.ts';
import { segments } from '../base/segments.styles.ts';
import { sessionContext } from '../context/contexts.ts';
import '../value-slider/value-slider.ts';

/** Up to this many letters in all, choices stand side by side; beyond they become a list to open. */
const SEGMENT_LETTERS = 14;

/** One parameter of one stage, driven by its declaration. Sends `set-parameter` to the session. */
@customElement('parameter-control')
export class ParameterControl extends LitElement {
  static override styles = [
    base,
    segments,
    css`
      .choice {
        display: grid;
        grid-template-columns: var(--label-width, 8.8ch) minmax(0, 1fr);
        align-items: center;
        column-gap: var(--space-4);
        min-height: var(--target-row);
      }
      select {
        width: 100%;
        min-height: var(--target);
        padding-block: 0;
      }
    `,
  ];

  @consume({ context: sessionContext, subscribe: true }) private session?: SessionStore;
  @property({ attribute: false }) parameter!: Parameter;
  @property({ attribute: false }) value: ParameterValue | undefined;
  @property() rackId: RackId = '';
  @property() stageId = '';

  override render() {
    const { parameter } = this;
    const value = this.value ?? parameter.default;
    if (parameter.type === 'choice') return this.renderChoice(parameter, String(value));
    return html`<value-slider
      .declaration=${parameter}
      .value=${Number(value)}
      @value-change=${(event: CustomEvent<{ value: number }>) => this.send(event.detail.value)}
    ></value-slider>`;
  }

  private renderChoice(parameter: ChoiceParameter, value: string) {
    const letters = parameter.choices.reduce((sum, { label }) => sum + label.length, 0);
    if (letters > SEGMENT_LETTERS) {
      return html`<div class="choice">
        <label for="choice" title=${parameter.about}>${parameter.label}</label>
        <select id="choice" .value=${live(value)} @change=${this.onChange}>
          ${parameter.choices.map(
            ({ id, label }) => html`<option value=${id} ?selected=${id === value}>${label}</option>`,
          )}
        </select>
      </div>`;
    }
    return html`<div class="choice" role="radiogroup" aria-labelledby="name" title=${parameter.about}>
      <span id="name">${parameter.label}</span>
      <span class="segments">
        ${parameter.choices.map(
          ({ id, label }) => html`<label
            ><input
              type="radio"
              name="choice"
              value=${id}
              .checked=${live(id === value)}
              @change=${this.onChange}
            /><span>${label}</span></label
          >`,
        )}
      </span>
    </div>`;
  }

  private onChange(event: Event): void {
    this.send((event.target as HTMLInputElement | HTMLSelectElement).value);
  }

  private send(value: ParameterValue): void {
    const { rackId, stageId, parameter } = this;
    this.session?.dispatch({ type: 'set-parameter', rackId, stageId, parameterId: parameter.id, value });
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'parameter-control': ParameterControl;
  }
}
