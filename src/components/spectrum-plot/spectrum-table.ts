import { html, nothing } from 'lit';
import type { LiveFrame } from '../../stores/live-store.ts';
import { figure, hertz } from '../format/figures.ts';
import { highest, levelAt } from './spectrum-view.ts';

/** Half a third octave as a ratio (IEC 61260-1, base 10). */
const HALF_THIRD_OCTAVE = 10 ** 0.05;

/** A third octave is called by a rounded frequency; its middle is 10^(n/10) Hz. */
function exactHz(hz: number, lowBand: boolean): number {
  return lowBand ? hz : 10 ** (Math.round(10 * Math.log10(hz)) / 10);
}

/**
 * The spectrum's figures as a table: the highest line of each third octave, or every line of the low band; then the
 * strongest line, with its harmonics where it stands out.
 * @param thirdOctaves what the bands are called, Hz
 */
export function spectrumTable(
  frame: LiveFrame | null,
  lowBand: boolean,
  thirdOctaves: readonly number[],
  sides: { readonly a: string; readonly b: string; readonly third: string },
) {
  const band = lowBand ? (frame?.lowBand ?? null) : frame;
  const rows: readonly number[] = lowBand ? Array.from(band?.frequencies ?? []) : thirdOctaves;
  const read = (frequencies: Float32Array, values: Float32Array, hz: number) =>
    lowBand
      ? levelAt(frequencies, values, hz, true)
      : highest(frequencies, values, hz / HALF_THIRD_OCTAVE, hz * HALF_THIRD_OCTAVE);
  const cell = (values: Float32Array | undefined, hz: number) =>
    html`<td>${figure(band && values ? read(band.frequencies, values, exactHz(hz, lowBand)) : null, { digits: 1 })}</td>`;
  return html`<div class="scroll" tabindex="0" role="group" aria-label="Spectrum as a table">
      <table>
        <caption>${lowBand ? 'Each line by itself' : 'The highest line in each third octave'}</caption>
        <thead>
          <tr>
            <th scope="col">Hz</th>
            <th scope="col">${sides.a}</th>
            <th scope="col">${sides.b}</th>
            <th scope="col">${sides.third}</th>
          </tr>
        </thead>
        <tbody>
          ${rows.map(
            (hz) => html`<tr>
              <th scope="row">${lowBand ? figure(hz, { digits: 1 }) : hertz(hz)}</th>
              ${cell(band?.clean, hz)}${cell(band?.coloured, hz)}${cell(band?.added, hz)}
            </tr>`,
          )}
          ${
            frame?.tone && !lowBand
              ? html`<tr>
                    <th colspan="4" scope="rowgroup" class="part">
                      Strongest line, ${sides.b}${frame.standingTone ? nothing : ': no tone stands out by itself'}
                    </th>
                  </tr>
                  <tr>
                    <th scope="row">${figure(frame.tone.hz, { digits: 1 })}</th>
                    <td></td>
                    <td>${figure(frame.tone.dbfs, { digits: 1 })}</td>
                    <td></td>
                  </tr>
                  ${(frame.standingTone?.harmonics ?? []).map(
                    ({ n, hz, dbc }) => html`<tr>
                      <th scope="row">H${n} ${figure(hz, { digits: 0 })}</th>
                      <td></td>
                      <td>${figure(dbc, { digits: 1 })} dBc</td>
                      <td></td>
                    </tr>`,
                  )}`
              : nothing
          }
        </tbody>
      </table>
    </div>`;
}
