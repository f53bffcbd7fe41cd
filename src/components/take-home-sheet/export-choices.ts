import { html, type TemplateResult } from 'lit';
import { live } from 'lit/directives/live.js';
import type {
  ExportBits,
  ExportFormat,
  ExportSettings,
  FaderPoint,
  TakeHomeStore,
} from '../../stores/take-home-store.ts';

type Part = 'pair' | 'channels' | 'buses' | 'report';

type About = string | Readonly<Record<FaderPoint, string>>;

const PARTS: readonly (readonly [part: Part, label: string, about: About])[] = [
  ['pair', 'Both mixes', 'clean, coloured, matched'],
  ['channels', 'Channel prints', { before: 'to drop back in', after: 'gain, balance in them' }],
  ['buses', 'Bus prints', { before: 'rack and match', after: 'gain in them' }],
  ['report', 'Report', 'every setting and figure'],
];

const FADERS: readonly (readonly [point: FaderPoint, label: string])[] = [
  ['before', 'before the fader'],
  ['after', 'after the fader'],
];

const FORMATS: readonly (readonly [format: ExportFormat, bits: ExportBits, label: string])[] = [
  ['wav', 16, 'WAV, 16 bit with dither'],
  ['wav', 24, 'WAV, 24 bit'],
  ['wav', 'float', 'WAV, 32 bit float'],
  ['flac', 16, 'FLAC, 16 bit with dither'],
  ['flac', 24, 'FLAC, 24 bit'],
];

interface Choices {
  readonly store: TakeHomeStore;
  readonly oversampling: 4 | 8;
  readonly onOversampling: (factor: 4 | 8) => void;
}

/** What to write, in which format, at which over-sampling. */
export function exportChoices({ store, oversampling, onOversampling }: Choices): TemplateResult {
  const { settings } = store;
  const chosen = (event: Event) => (event.target as HTMLSelectElement).value;
  return html`<fieldset ?disabled=${store.work !== null}>
    <legend>What to write</legend>
    ${PARTS.map(([part, label, about]) =>
      partBox(store, settings, part, label, typeof about === 'string' ? about : about[settings.fader]),
    )}
    <div class="fields">
      <label for="fader">Prints</label>
      <select
        id="fader"
        .value=${live(settings.fader)}
        ?disabled=${!settings.channels && !settings.buses}
        @change=${(event: Event) => store.choose({ fader: chosen(event) === 'after' ? 'after' : 'before' })}
      >
        ${FADERS.map(
          ([point, label]) => html`<option value=${point} ?selected=${settings.fader === point}>${label}</option>`,
        )}
      </select>
      <label for="format">Format</label>
      <select
        id="format"
        .value=${live(`${settings.format} ${settings.bits}`)}
        @change=${(event: Event) => {
          const [format, bits] = FORMATS.find(([kind, words]) => `${kind} ${words}` === chosen(event)) ?? FORMATS[1];
          store.choose({ format, bits });
        }}
      >
        ${FORMATS.map(
          ([format, bits, label]) =>
            html`<option
              value=${`${format} ${bits}`}
              ?selected=${settings.format === format && settings.bits === bits}
            >
              ${label}
            </option>`,
        )}
      </select>
      <label for="overs">Too hot</label>
      <select
        id="overs"
        title="What becomes of mixes that pass full scale in whole numbers; floats keep their level"
        ?disabled=${!settings.pair || settings.bits === 'float'}
        .value=${live(settings.overs ?? 'lower')}
        @change=${(event: Event) => store.choose({ overs: chosen(event) === 'limit' ? 'limit' : 'lower' })}
      >
        <option value="lower" ?selected=${settings.overs !== 'limit'}>lower both mixes alike</option>
        <option value="limit" ?selected=${settings.overs === 'limit'}>limit each, matched or not</option>
      </select>
      <label for="oversampling">Over-sampling</label>
      <select
        id="oversampling"
        .value=${live(String(oversampling))}
        @change=${(event: Event) => onOversampling(chosen(event) === '8' ? 8 : 4)}
      >
        <option value="4" ?selected=${oversampling === 4}>4×, as it is heard</option>
        <option value="8" ?selected=${oversampling === 8}>8×, takes longer</option>
      </select>
    </div>
    <p class="small">Every file starts at sample 0 and all are equally long, so they line up.</p>
  </fieldset>`;
}

function partBox(store: TakeHomeStore, settings: ExportSettings, part: Part, label: string, about: string) {
  return html`<label class="part">
    <input
      type="checkbox"
      name=${part}
      .checked=${live(settings[part])}
      @change=${(event: Event) => store.choose({ [part]: (event.target as HTMLInputElement).checked })}
    />
    <span>${label} <small>${about}</small></span>
  </label>`;
}
