import { html, nothing, type TemplateResult } from 'lit';
import { styleMap } from 'lit/directives/style-map.js';
import type { ComparedBand, ImportCheck, ImportVerdict } from '../../stores/take-home-store.ts';
import { figure, figureText, hertz } from '../format/figures.ts';

/** What is left is drawn from this far below the mixdown up to it, dB. */
const FLOOR_DB = -100;
const LINES_DB = [0, -40, -80];
const LABELLED = [31.5, 125, 500, 2000, 8000];

const WORDS: Readonly<Record<ImportVerdict, string>> = {
  silent: 'Nothing to compare',
  unrelated: 'Another recording',
  channels: 'Its sides stand otherwise',
  length: 'Not as long as the session',
  stems: 'Single stems stand otherwise',
  clipped: 'Clipped',
  differs: 'Different',
  close: 'Close',
  offset: 'Same sound, other place or level',
  stands: 'It stands',
};

/** What to do next, where the check's own sentences don't say it. */
const NEXT: Readonly<Partial<Record<ImportVerdict, string>>> = {
  stands: 'Nothing to do: whatever you add here is all that will differ.',
  offset:
    'If the start of the bounce or the last fader made the difference, leave it. Otherwise put the gains right here first: they decide how hard each stage is driven.',
};

/** The verdict, what was found, and what is left in each third octave, as bars or as a table. */
export function checkResult(check: ImportCheck, asTable: boolean, onTable: () => void): TemplateResult {
  const { verdict, sentences, comparison } = check;
  const next = NEXT[verdict];
  return html`<div class="callout verdict ${verdict === 'differs' ? 'fault' : ''}">
      <h4>${WORDS[verdict]}</h4>
      ${[...sentences, ...(next ? [next] : [])].map((sentence) => html`<p>${sentence}</p>`)}
    </div>
    ${
      verdict === 'silent' || verdict === 'unrelated'
        ? nothing
        : html`${figures(check)}
            <div class="heading">
              <h4>What is left <small>third octaves, dB against the mixdown</small></h4>
              <button class="quiet" aria-pressed=${asTable} @click=${onTable}>Table</button>
            </div>
            ${asTable ? bandTable(comparison.bands) : bars(comparison.bands)}`
    }`;
}

function figures({ comparison }: ImportCheck) {
  const { delaySamples, delaySeconds, gainDb, gainLu, polarity, residualDb, identical } = comparison;
  const digits = delaySamples !== null && Number.isInteger(delaySamples) ? 0 : 3;
  const why = 'The two have nothing in common';
  return html`<dl>
    <div>
      <dt>Delay <small>samples</small></dt>
      <dd title=${delaySeconds === null ? nothing : figure(1000 * delaySeconds, { digits: 3, signed: true, unit: 'ms' })}>
        ${figureText(delaySamples, { digits, signed: true }, why)}
      </dd>
    </div>
    <div>
      <dt>Gain <small>dB</small></dt>
      <dd>${figureText(gainDb, { digits: 2, signed: true }, why)}</dd>
    </div>
    <div>
      <dt>Loudness <small>LU</small></dt>
      <dd>${figureText(gainLu, { digits: 2, signed: true }, why)}</dd>
    </div>
    <div>
      <dt>Polarity</dt>
      <dd>${polarity ?? figureText(null, { digits: 0 }, why)}</dd>
    </div>
    <div>
      <dt>Left over <small>dB</small></dt>
      <dd>${identical ? 'nothing' : figureText(residualDb, { digits: 1 }, why)}</dd>
    </div>
  </dl>`;
}

function bars(bands: readonly ComparedBand[]) {
  const share = (db: number) => Math.min(1, Math.max(0, 1 - db / FLOOR_DB));
  return html`<div class="bars" role="img" aria-label=${describe(bands)}>
    ${LINES_DB.map(
      (db) =>
        html`<span class="level" style=${styleMap({ bottom: `${100 * share(db)}%` })}
          ><span>${figure(db, { digits: 0 })}</span></span
        >`,
    )}
    ${bands.map(
      ({
        hz,
        residualDb,
      }) => html`<span class="band" title=${`${hertz(hz)} Hz: ${figure(residualDb, { digits: 1, unit: 'dB' })}`}
        ><i style=${styleMap({ height: residualDb === null ? '0' : `${100 * share(residualDb)}%` })}></i
        >${LABELLED.includes(hz) ? html`<b>${hertz(hz)}</b>` : nothing}</span
      >`,
    )}
  </div>`;
}

function describe(bands: readonly ComparedBand[]): string {
  const known = bands.flatMap(({ hz, residualDb }) => (residualDb === null ? [] : [{ hz, residualDb }]));
  if (known.length === 0) return 'Nothing is left in any third octave.';
  const most = known.reduce((a, b) => (b.residualDb > a.residualDb ? b : a));
  return `Most is left at ${hertz(most.hz)} Hz: ${figure(most.residualDb, { digits: 1 })} dB against the mixdown. The table has every band.`;
}

function bandTable(bands: readonly ComparedBand[]) {
  return html`<div class="scroll" tabindex="0" role="group" aria-label="Third octaves as a table">
    <table>
      <thead>
        <tr>
          <th scope="col">Hz</th>
          <th scope="col">mixdown minus clean, dB</th>
          <th scope="col">left, dB</th>
        </tr>
      </thead>
      <tbody>
        ${bands.map(
          ({ hz, differenceDb, residualDb }) => html`<tr>
            <th scope="row">${hertz(hz)}</th>
            <td>${figureText(differenceDb, { digits: 2, signed: true }, 'No energy of its own in this band')}</td>
            <td>${figureText(residualDb, { digits: 1 }, 'Nothing that would be heard beside the rest')}</td>
          </tr>`,
        )}
      </tbody>
    </table>
  </div>`;
}
