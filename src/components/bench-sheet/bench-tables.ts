import { html, nothing, type TemplateResult } from 'lit';
import { findStageKind } from '../../engine/stages/catalogue.ts';
import type { BenchPoint, BenchResult, StackTable } from '../../stores/tone-bench-store.ts';
import { figure, figureText, hertz } from '../format/figures.ts';
import { percentText } from './bench-rows.ts';

const dbc = (value: number | null, why = 'Nothing above the noise') =>
  html`<td>${figureText(value, { digits: 1 }, why)}</td>`;

/** Harmonics with their phase. */
export function harmonicTable(result: BenchResult): TemplateResult {
  const tone = result.tones.at(-1)?.hz ?? null;
  return html`<table>
    <thead>
      <tr>
        <th scope="col">harmonic</th>
        <th scope="col">Hz</th>
        <th scope="col">dBc</th>
        <th scope="col">phase °</th>
      </tr>
    </thead>
    <tbody>
      ${result.harmonics.map(
        ({ n, dbc: level, phaseDeg }) => html`<tr>
          <th scope="row">H${n}</th>
          <td>${figure(tone && n * tone, { digits: 0 })}</td>
          ${dbc(level, 'From half the sample rate on')}
          <td>${figureText(phaseDeg, { digits: 1 }, 'The line is no stronger than the noise')}</td>
        </tr>`,
      )}
    </tbody>
  </table>`;
}

export function productTable({ products, foldedProducts }: BenchResult): TemplateResult {
  const rows = [
    ...products.map((product) => ({ ...product, folded: false })),
    ...foldedProducts.map((product) => ({ ...product, folded: true })),
  ];
  return html`<table>
    <thead>
      <tr>
        <th scope="col">product</th>
        <th scope="col">order</th>
        <th scope="col">Hz</th>
        <th scope="col">dBc over f2</th>
      </tr>
    </thead>
    <tbody>
      ${rows.map(
        ({ label, order, hz, dbc: level, folded }) => html`<tr>
          <th scope="row">${label}${folded ? html` <small>alias</small>` : nothing}</th>
          <td>${order}</td>
          <td>${figure(hz, { digits: 1 })}</td>
          ${dbc(level)}
        </tr>`,
      )}
    </tbody>
  </table>`;
}

export function sweepTable(
  points: readonly BenchPoint[],
  by: 'level' | 'frequency',
  orders: readonly number[],
): TemplateResult {
  return html`<table>
    <thead>
      <tr>
        <th scope="col">${by === 'level' ? 'dBFS in' : 'Hz'}</th>
        <th scope="col">THD<sub>F</sub> %</th>
        ${orders.map((n) => html`<th scope="col">H${n}</th>`)}
        <th scope="col">DC dBFS</th>
        <th scope="col">aliases</th>
        <th scope="col">gain dB</th>
      </tr>
    </thead>
    <tbody>
      ${points.map(
        (point) => html`<tr>
          <th scope="row">
            ${by === 'level' ? figure(point.levelDbfs, { digits: 1 }) : figure(point.hz, { digits: point.hz < 1000 ? 1 : 0 })}
          </th>
          <td>${percentText(point.thdFPercent)}</td>
          ${orders.map((n) => dbc(point.harmonics.find((harmonic) => harmonic.n === n)?.dbc ?? null, 'From half the sample rate on'))}
          ${dbc(point.dcDbfs, 'No DC')} ${dbc(point.aliasDbc, 'Nothing is there')}
          <td>${figureText(point.gainDb, { digits: 2, signed: true }, 'Nothing comes out')}</td>
        </tr>`,
      )}
    </tbody>
  </table>`;
}

/** Aliases of sines at the operating level. */
export function floorTable({ floor, alignmentDbfs }: BenchResult): TemplateResult {
  return html`<table>
    <caption>
      Aliases of sines at ${figure(alignmentDbfs, { digits: 0 })} dBFS
    </caption>
    <thead>
      <tr>
        <th scope="col">Hz</th>
        <th scope="col">dBc</th>
      </tr>
    </thead>
    <tbody>
      ${(floor?.aliases ?? []).map(
        ({ hz, dbc: level }) => html`<tr>
          <th scope="row">${figure(hz, { digits: 0 })}</th>
          ${dbc(level)}
        </tr>`,
      )}
    </tbody>
  </table>`;
}

/** What a stack does: products after each stage, with the same distortion made in one stage beside it. */
export function stackTable(stack: StackTable): TemplateResult {
  const name = (kind: string) => findStageKind(kind)?.label ?? kind;
  const own = (i: number) => (i === stack.oneStage ? 'one' : nothing);
  return html`<table class="stack">
    <caption>
      Products after each stage, dBc over f2
    </caption>
    <thead>
      <tr>
        <th scope="col">product</th>
        <th scope="col">Hz</th>
        ${stack.columns.map(
          ({ kind, driveDb }, i) => html`<th scope="col" class=${own(i)}>
            ${
              i === stack.oneStage
                ? html`in one<small>${name(kind)}, drive ${figure(driveDb, { digits: 1, signed: true })}</small>`
                : html`after ${i + 1}<small>${name(kind)}</small>`
            }
          </th>`,
        )}
      </tr>
    </thead>
    <tbody>
      <tr class="sum">
        <th scope="row">THD<sub>F</sub> <small>%</small></th>
        <td></td>
        ${stack.columns.map(({ thdFPercent }, i) => html`<td class=${own(i)}>${percentText(thdFPercent)}</td>`)}
      </tr>
      <tr class="sum" title="All products of both tones to order 7, over f2">
        <th scope="row">Intermodulation <small>%</small></th>
        <td></td>
        ${stack.columns.map(({ intermodulationPercent }, i) => html`<td class=${own(i)}>${percentText(intermodulationPercent)}</td>`)}
      </tr>
      ${stack.rows.map(
        ({ label, hz, order, dbc: levels }) => html`<tr>
          <th scope="row" class=${order % 2 === 0 ? 'even' : 'odd'}><i class="mark"></i>${label}</th>
          <td>${hertz(hz)}</td>
          ${levels.map((level, i) => html`<td class=${own(i)}>${figureText(level, { digits: 1 }, 'Nothing above the noise')}</td>`)}
        </tr>`,
      )}
    </tbody>
  </table>`;
}

/** What two inputs do to each other. */
export function interactionTable({ interaction }: StackTable): TemplateResult {
  return html`<table>
    <caption>
      Together minus apart: F(a + b) − F(a) − F(b)
    </caption>
    <thead>
      <tr>
        <th scope="col">line</th>
        <th scope="col">Hz</th>
        <th scope="col">dBc over f2</th>
      </tr>
    </thead>
    <tbody>
      <tr class="sum">
        <th scope="row">All but DC</th>
        <td></td>
        ${dbc(interaction.totalDbc, 'The inputs leave each other alone')}
      </tr>
      ${interaction.lines.map(
        ({ label, hz, dbc: level, order }) => html`<tr>
          <th scope="row" class=${order % 2 === 0 ? 'even' : 'odd'}><i class="mark"></i>${label}</th>
          <td>${hertz(hz)}</td>
          ${dbc(level)}
        </tr>`,
      )}
    </tbody>
  </table>`;
}
