import { html, LitElement, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import type { AnalyserSettings, LiveStore } from '../../stores/live-store.ts';
import { base } from '../base/base.styles.ts';
import { liveContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { DEFAULT_VIEW, type SpectrumView } from '../spectrum-plot/spectrum-view.ts';
import { styles } from './analyser-settings.styles.ts';

type Option<T> = readonly [value: T, label: string];

const POINTS: readonly Option<AnalyserSettings['points']>[] = [
  ['auto', 'Auto'],
  [4096, '4k points'],
  [8192, '8k points'],
  [16384, '16k points'],
  [32768, '32k points'],
  [65536, '64k points'],
];
const WINDOWS: readonly Option<AnalyserSettings['window']>[] = [
  ['hann', 'Hann'],
  ['blackmanHarris4', 'Blackman-Harris, 4 terms'],
  ['blackmanHarris7', 'Blackman-Harris, 7 terms'],
  ['hft116d', 'Flat top'],
];
const AVERAGES: readonly Option<number>[] = [0.1, 0.2, 0.4, 1, 3, 10].map((seconds) => [seconds, `${seconds} s`]);
const SCALES: readonly Option<AnalyserSettings['scale']>[] = [
  ['peak', 'Sine peak, dBFS'],
  ['density', 'Noise density, dBFS in 1 Hz'],
];
const SLOPES: readonly Option<number>[] = [
  [0, 'None'],
  [3, '3 dB per octave'],
  [4.5, '4.5 dB per octave'],
];
const RANGES: readonly Option<number>[] = [60, 90, 120, 150].map((db) => [db, `${db} dB`]);

/**
 * How the spectrum is measured and drawn. What is measured goes to the live store; how it is drawn is the plot's.
 *
 * @fires view-change - `CustomEvent<SpectrumView>`
 */
@customElement('analyser-settings')
export class AnalyserSettingsElement extends LitElement {
  static override styles = [base, styles];

  @store(liveContext) private live?: LiveStore;
  @property({ attribute: false }) view: SpectrumView = DEFAULT_VIEW;

  override render() {
    const { live: store, view } = this;
    if (!store) return nothing;
    const { settings } = store;
    const measure = (change: Partial<AnalyserSettings>) => store.configure({ ...settings, ...change });
    const draw = (change: Partial<SpectrumView>) =>
      this.dispatchEvent(new CustomEvent('view-change', { detail: { ...view, ...change } }));
    return html`<div class="settings" role="group" aria-label="Analyser">
      ${choice('Resolution', 'Auto: long transforms for lows, short ones for highs.', POINTS, settings.points, (points) => measure({ points }))}
      ${choice('Window', 'Hann tells close lines apart, Blackman-Harris weak from strong ones; a flat top reads levels best.', WINDOWS, settings.window, (window) => measure({ window }))}
      ${choice('Average', 'Time constant of the power average.', AVERAGES, settings.averageSeconds, (averageSeconds) => measure({ averageSeconds }))}
      ${choice('Scale', 'Peak: a sine reads its level. Density: noise reads its level in 1 Hz.', SCALES, settings.scale, (scale) => measure({ scale }))}
      ${choice('Tilt', 'Drawn only, about 1 kHz: figures and table stay as measured.', SLOPES, view.slopeDb, (slopeDb) => draw({ slopeDb }))}
      ${choice('Range', 'From the top of the plot down.', RANGES, view.rangeDb, (rangeDb) => draw({ rangeDb }))}
      ${tick('Peak hold', 'The largest values since it was switched on.', settings.peakHold, (peakHold) => measure({ peakHold }))}
      ${tick('Harmonics', 'Marks the strongest tone of the coloured side and its harmonics.', view.harmonics, (harmonics) => draw({ harmonics }))}
    </div>`;
  }
}

function choice<T>(label: string, about: string, options: readonly Option<T>[], value: T, take: (value: T) => void) {
  const chosen = options.findIndex(([option]) => option === value);
  return html`<label title=${about}
    ><span>${label}</span
    ><select
      .value=${live(String(chosen))}
      @change=${(event: Event) => take(options[Number((event.target as HTMLSelectElement).value)][0])}
    >
      ${options.map(([, text], i) => html`<option value=${i} ?selected=${i === chosen}>${text}</option>`)}
    </select></label
  >`;
}

function tick(label: string, about: string, on: boolean, take: (on: boolean) => void) {
  return html`<label class="tick" title=${about}
    ><input
      type="checkbox"
      .checked=${live(on)}
      @change=${(event: Event) => take((event.target as HTMLInputElement).checked)}
    /><span>${label}</span></label
  >`;
}

declare global {
  interface HTMLElementTagNameMap {
    'analyser-settings': AnalyserSettingsElement;
  }
}
