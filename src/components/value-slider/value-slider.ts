import { html, LitElement, nothing, type PropertyValues } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { styleMap } from 'lit/directives/style-map.js';
import { type ContinuousParameter, formatValue, parameterFault, toTravel } from '../../engine/parameters.ts';
import { base } from '../base/base.styles.ts';
import { callout } from '../base/callout.styles.ts';
import { parseValue, typable } from './parse-value.ts';
import { valueAfterKey, valueAtTravel } from './travel.ts';
import { styles } from './value-slider.styles.ts';

/**
 * One continuous value: a native range along the declared travel and a field that takes a typed value.
 *
 * @fires value-change - `CustomEvent<{ value: number }>` with a value inside the declared range.
 */
@customElement('value-slider')
export class ValueSlider extends LitElement {
  static override styles = [base, callout, styles];

  @property({ attribute: false }) declaration!: ContinuousParameter;
  @property({ type: Number }) value = 0;
  @property({ type: Boolean }) disabled = false;
  /** Hides the label on screen; it stays for screen readers. */
  @property({ type: Boolean, attribute: 'bare', reflect: true }) bare = false;
  /** The field alone, for rows; the arrows step in it. */
  @property({ type: Boolean, reflect: true }) compact = false;
  /** The unit stands elsewhere, at the head of a column. */
  @property({ type: Boolean }) unitless = false;
  /** Read out before the label, where many fields have the same one. */
  @property() of = '';
  @property({ type: Number }) stop = 0;

  @state() private fault: string | null = null;
  @state() private typing = false;
  @query('.field') private field!: HTMLInputElement;
  @query('#range') private range!: HTMLInputElement;

  override willUpdate(changed: PropertyValues<this>): void {
    // A complaint about a typed value is settled once the value moves by other means.
    if (changed.has('value') && changed.get('value') !== undefined) this.fault = null;
  }

  override render() {
    const { declaration, value, fault } = this;
    const travel = toTravel(declaration, value);
    const home = toTravel(declaration, declaration.default);
    const track = { '--low': `${Math.min(travel, home)}`, '--high': `${Math.max(travel, home)}`, '--home': `${home}` };
    return html`${this.compact ? nothing : this.renderRange(travel, track)} ${this.renderField()}
      ${fault ? html`<p id="fault" class="callout fault" role="alert">${fault}</p>` : nothing}`;
  }

  private renderRange(travel: number, track: Record<string, string>) {
    const { declaration, value, disabled } = this;
    return html`
      <label for="range" title=${declaration.about} class=${this.bare ? 'hidden' : nothing}>${declaration.label}</label>
      <input
        id="range"
        type="range"
        min="0"
        max="1"
        step="any"
        style=${styleMap(track)}
        .value=${live(String(travel))}
        .disabled=${disabled}
        aria-valuetext=${formatValue(declaration, value)}
        title=${`${declaration.about} Double click or Delete: ${formatValue(declaration, declaration.default)}.`}
        @input=${this.onDrag}
        @keydown=${this.onKey}
        @dblclick=${() => this.move(declaration.default)}
      />`;
  }

  private renderField() {
    const { declaration, disabled, fault } = this;
    const label = `${this.of ? `${this.of}: ` : ''}${declaration.label}${declaration.unit ? `, ${declaration.unit}` : ''}`;
    return html`<input
        class="field"
        type="text"
        autocomplete="off"
        spellcheck="false"
        enterkeyhint="done"
        aria-label=${`${label}, typed`}
        title=${this.compact ? declaration.about : nothing}
        tabindex=${this.stop}
        aria-invalid=${fault ? 'true' : 'false'}
        aria-describedby=${fault ? 'fault' : nothing}
        .value=${live(this.typing ? this.field.value : this.shown())}
        .disabled=${disabled}
        @focus=${this.onFocus}
        @blur=${this.onBlur}
        @keydown=${this.onFieldKey}
      />`;
  }

  private shown(): string {
    const { declaration, value } = this;
    const text = formatValue(declaration, value);
    return this.unitless && declaration.unit ? text.replace(` ${declaration.unit}`, '') : text;
  }

  private onDrag(event: Event): void {
    this.move(valueAtTravel(this.declaration, Number((event.target as HTMLInputElement).value)));
  }

  private onKey(event: KeyboardEvent): void {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const value = valueAfterKey(this.declaration, this.value, event.key, event.shiftKey);
    if (value === null) return;
    event.preventDefault();
    this.move(value);
  }

  private onFocus(): void {
    this.typing = true;
    this.field.value = typable(this.value);
    this.field.select();
  }

  private onBlur(): void {
    if (this.typing && this.field.value !== typable(this.value)) this.commit();
    this.typing = false;
  }

  private onFieldKey(event: KeyboardEvent): void {
    if (event.isComposing) return;
    if (event.key === 'Enter') {
      event.preventDefault();
      this.commit();
      if (this.fault === null) this.leaveField();
      else this.field.select();
    } else if (event.key === 'Escape') {
      this.fault = null;
      this.field.value = typable(this.value);
      this.leaveField();
    } else if (this.compact && (event.key === 'ArrowUp' || event.key === 'ArrowDown')) {
      const value = valueAfterKey(this.declaration, this.value, event.key, event.shiftKey);
      event.preventDefault();
      if (value === null) return;
      this.move(value);
      this.field.value = typable(value);
    }
  }

  /** The keys go to the screen again, and the arrows tune what was typed. */
  private leaveField(): void {
    this.typing = false;
    if (this.compact) this.field.blur();
    else this.range.focus({ preventScroll: true });
  }

  /** Takes the typed value over, or says what is wrong with it and stays at the value there was. */
  private commit(): void {
    const { declaration } = this;
    const text = this.field.value;
    const value = parseValue(text, declaration);
    const low = formatValue({ ...declaration, atMin: undefined }, declaration.min);
    const high = formatValue({ ...declaration, atMax: undefined }, declaration.max);
    if (value === null) {
      this.fault = `“${text}” is not a number. ${declaration.label} goes from ${low} to ${high}.`;
    } else if (parameterFault(declaration, value) !== null) {
      this.fault = `${declaration.label} goes from ${low} to ${high}; “${text}” is outside.`;
    } else {
      this.fault = null;
      this.move(value);
    }
    this.field.value = typable(this.fault === null && value !== null ? value : this.value);
  }

  private move(value: number): void {
    this.fault = null;
    if (value === this.value) {
      this.requestUpdate();
      return;
    }
    this.dispatchEvent(new CustomEvent('value-change', { detail: { value } }));
    // Where nobody took the value over, the range falls back to the one there is.
    this.requestUpdate();
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'value-slider': ValueSlider;
  }
}
