import { html, LitElement, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import type { AnalyserSettings, LiveStore } from '../../stores/live-store.ts';
import { base } from '../base/base.styles.ts';
import { liveContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { figure } from '../format/figures.ts';
import { DEFAULT_VIEW, type SpectrumView } from '../spectrum-plot/spectrum-view.ts';
import { styles } from './analyser-settings.styles.ts';

type Option<T> = readonly [value: T, label: string];

const LENGTHS: readonly Option<AnalyserSettings['points']>[] = [
  ['auto', 'By frequency'],
  ...([4096, 8192, 16384, 32768, 65536] as const).map((points) => [points, `${points} samples`] as const),
];
const WINDOWS: readonly Option<AnalyserSettings['window']>[] = [
  ['hann', 'Close lines apart'],
  ['blackmanHarris4', 'Weak beside strong'],
  ['blackmanHarris7', 'Weakest beside strong'],
  ['hft116d', 'True levels'],
];
const AVERAGES: readonly Option<number>[] = [0.1, 0.2, 0.4, 1, 3, 10].map((seconds) => [seconds, `${seconds} s`]);
const SCALES: readonly Option<AnalyserSettings['scale']>[] = [
  ['peak', 'Sine peak, dBFS'],
  ['density', 'Noise density, dBFS in 1 Hz'],
];
const SLOPES: readonly Option<number>[] = [
  [0, 'As measured'],
  [3, 'Pink noise level'],
  [6, 'Red noise level'],
];
const LOWEST: readonly Option<number>[] = [-72, -96, -120, -144].map((dbfs) => [
  dbfs,
  figure(dbfs, { digits: 0, unit: 'dBFS' }),
]);

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
      ${choice('Transform length', 'By frequency: long for lows, short for highs. Longer tells more lines apart, and answers later.', LENGTHS, settings.points, (points) => measure({ points }))}
      ${choice('Made for', 'By its window: Hann, Blackman-Harris of 4 and of 7 terms, flat top.', WINDOWS, settings.window, (window) => measure({ window }))}
      ${choice('Average', 'Time constant of the power average.', AVERAGES, settings.averageSeconds, (averageSeconds) => measure({ averageSeconds }))}
      ${choice('Scale', 'Peak: a sine reads its level. Density: noise reads its level in 1 Hz.', SCALES, settings.scale, (scale) => measure({ scale }))}
      ${choice('Drawn slope', 'About 1 kHz, by 3 or 6 dB an octave; figures and table stay as measured.', SLOPES, view.slopeDb, (slopeDb) => draw({ slopeDb }))}
      ${choice('Lowest line', 'Where the plot ends at the bottom.', LOWEST, view.lowestDbfs, (lowestDbfs) => draw({ lowestDbfs }))}
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
