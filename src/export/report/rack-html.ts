/** One rack on the report's page: what is set in it, what it does to level and tone, and each stage's curve. */
import { matchText, rackText } from './figure-rows.ts';
import { notes } from './html-parts.ts';
import type { ReportRack, ReportStage } from './report-model.ts';
import { curvePlot, levelPlot, tonePlot } from './report-plots.ts';
import { setRows } from './set-values.ts';
import { figure, escapeHtml as text, withUnit } from './words.ts';

export function rackHtml(rack: ReportRack, hz: readonly number[]): string {
  const place =
    rack.place === 'mix' ? '' : `<span class="sub">, ${rack.place}${rack.file ? `, ${text(rack.file)}` : ''}</span>`;
  const head = `<h2>${text(rack.name)}${place}</h2>${rack.on ? '' : '<p class="off">The rack is off.</p>'}${notes(rack.notes)}`;
  if (rack.stages.length === 0) return `<section class="rack">${head}</section>`;
  const levels =
    rack.levels.length > 0 ? `<figure>${levelPlot(rack)}<figcaption>Levels along the rack.</figcaption></figure>` : '';
  const tone =
    rack.toneDb.length > 0
      ? `<figure>${tonePlot(`Output less input of ${rack.name} in third octaves`, hz, rack.toneDb, { width: 330, height: 110 })}<figcaption>Output less input, third octaves.</figcaption></figure>`
      : '';
  return `<section class="rack"><div class="whole">${head}
<p>Match ${text(matchText(rack.match))}; added ${text(withUnit(rack.addedPercent, '%', 2))}.</p>
<p>In → out, matched: ${text(rackText(rack))}.</p>
<div class="plots">${levels}${tone}</div></div>
<div class="stages">${rack.stages.map(stageHtml).join('\n')}</div>
</section>`;
}

/** Harmonics below this are told by the JSON only. */
const LEAST_DBC = -100;

function stageHtml(stage: ReportStage, index: number): string {
  const rows = setRows(stage);
  const settings =
    rows.length === 0
      ? '<p>Every setting is at its default.</p>'
      : `<table><tbody>${rows
          .map(
            ([label, value, state]) =>
              `<tr class="${state === '' ? 'set' : 'idle'}"><th scope="row">${text(label)}</th><td class="n">${text(value)}</td>${state === '' ? '' : `<td class="sub">${text(state)}</td>`}</tr>`,
          )
          .join('')}</tbody></table>`;
  const harmonics = stage.harmonics
    .map(({ n, dbc }) => (dbc === null || dbc < LEAST_DBC ? '' : `h${n} ${figure(dbc)} dBc`))
    .filter(Boolean)
    .join(', ');
  return `<div class="stage" data-stage="${text(stage.id)}"><h3>${index + 1}. ${text(stage.label)}${stage.on ? '' : ' <span class="off">off</span>'}</h3>${notes(stage.notes)}
<div class="two"><figure>${stage.curve.length > 0 ? curvePlot(stage) : ''}</figure><div>${settings}</div></div>
<p class="sub">${stage.toneHz} Hz at the alignment level: THD ${text(withUnit(stage.thdPercent, '%', 3))}${harmonics ? `; ${text(harmonics)}` : ''}. 1 % THD at ${text(withUnit(stage.onePercentDbfs, 'dBFS'))} after trim in.</p></div>`;
}
