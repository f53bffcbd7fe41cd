import { levelRows, matchText, PATH_HEAD, pathRow, sessionRows, sideRows } from './figure-rows.ts';
import type { ReportRack, ReportStage, SessionReport } from './report-model.ts';
import { curvePlot, levelPlot, spectrumPlot, tonePlot } from './report-plots.ts';
import { REPORT_STYLE } from './report-style.ts';
import { figure, hertz, escapeHtml as text, withUnit } from './words.ts';

/** The report as one page that needs nothing else: no script, no font, no address. Every name and note is text in it. */
export function reportHtml(report: SessionReport): string {
  const { session, sides, mix, racks, scenes, trials } = report;
  const title = `${session.name || 'Session'}: report`;
  return `<!doctype html>
<html lang="en">
<head><meta charset="utf-8"><meta name="viewport" content="width=device-width,initial-scale=1"><title>${text(title)}</title><style>${REPORT_STYLE}</style></head>
<body>
<header><h1>${text(session.name || 'Session')}</h1><p class="sub">${text(report.program)}${report.createdAt ? `, ${text(report.createdAt.slice(0, 16).replace('T', ' '))} UTC` : ''}</p></header>
<main>
${notes(session.notes)}${report.statements.map((statement) => `<p class="statement">${text(statement)}</p>`).join('\n')}
<section><h2>Both sides</h2>
${table(['', sides.a.name, sides.b.name, 'Change', 'Unit'], sideRows(sides.a.figures, sides.b.figures), [1, 2, 3])}
${table([], sessionRows(report), [])}
</section>
<section><h2>Signal path</h2>
${table(PATH_HEAD, racks.map(pathRow), [2, 5, 6, 7])}
</section>
<section><h2>The mix</h2>
<figure>${spectrumPlot(report)}<figcaption>Averaged over the match region; added is what no linear filter of ${text(sides.a.name)} explains.</figcaption></figure>
<figure>${tonePlot(`${sides.b.name} less ${sides.a.name} in third octaves`, mix.thirdOctavesHz, mix.toneDb, 170)}<figcaption>${text(sides.b.name)} less ${text(sides.a.name)}, third octaves.</figcaption></figure>
</section>
${racks.map((rack) => rackSection(rack, mix.thirdOctavesHz)).join('\n')}
${
  scenes.length > 0
    ? `<section><h2>Scenes</h2>${table(
        ['Scene', 'Notes'],
        scenes.map(({ name, notes: words }) => [name, words]),
        [],
      )}</section>`
    : ''
}
${
  trials.length > 0
    ? `<section><h2>Blind trials</h2>${trials
        .map(
          (trial) =>
            `<h3>${text(trial.kind)}, ${text(trial.startedAt)}</h3><p>${text(trial.programme)}</p><p>${text(trial.sentence)}</p>${table(
              [],
              Object.entries(trial.figures).map(([name, value]) => [
                name,
                typeof value === 'number' ? figure(value, Number.isInteger(value) ? 0 : 4) : (value ?? '–'),
              ]),
              [],
            )}`,
        )
        .join('')}</section>`
    : ''
}
${behind(report)}
</main>
<footer>${text(report.program)}; over-sampled ${report.session.oversampling} times; figures by ITU-R BS.1770-5 and AES17 conventions, over the match region.</footer>
</body>
</html>
`;
}

function rackSection(rack: ReportRack, hz: readonly number[]): string {
  const place = rack.place === 'mix' ? '' : `<span class="sub">, ${rack.place}</span>`;
  const head = `<h2>${text(rack.name)}${place}</h2>${rack.on ? '' : '<p class="off">The rack is off.</p>'}${notes(rack.notes)}`;
  const origin = rack.file ? `<p class="sub">${text(rack.file)}</p>` : '';
  if (rack.stages.length === 0)
    return `<section class="rack">${head}${origin}<p class="off">The rack is empty.</p></section>`;
  return `<section class="rack">${head}${origin}
<p>Match ${text(matchText(rack.match))}; added ${text(withUnit(rack.addedPercent, '%', 2))}.</p>
${rack.levels.length > 0 ? `<figure>${levelPlot(rack)}</figure>` : ''}
${rack.toneDb.length > 0 ? `<figure>${tonePlot(`Output less input of ${rack.name} in third octaves`, hz, rack.toneDb)}<figcaption>Output less input, third octaves.</figcaption></figure>` : ''}
${table(['', 'In', 'Out, matched', 'Change', 'Unit'], sideRows(rack.input, rack.output), [1, 2, 3])}
${rack.stages.map(stageBlock).join('\n')}
</section>`;
}

function stageBlock(stage: ReportStage, index: number): string {
  const rows = stage.parameters
    .map(({ label, text: value, atDefault, inEffect }) => {
      const state = inEffect ? (atDefault ? 'default' : 'set') : 'no effect as set';
      return `<tr class="${inEffect ? (atDefault ? 'default' : 'set') : 'idle'}"><th scope="row">${text(label)}</th><td class="n">${text(value)}</td><td class="sub">${state}</td></tr>`;
    })
    .join('');
  const harmonics = stage.harmonics
    .map(({ n, dbc }) => (dbc === null ? '' : `h${n} ${figure(dbc)} dBc`))
    .filter(Boolean)
    .join(', ');
  return `<div class="stage" data-stage="${text(stage.id)}"><h3>${index + 1}. ${text(stage.label)}${stage.on ? '' : ' <span class="off">off</span>'}</h3>${notes(stage.notes)}
<div class="two"><figure>${stage.curve.length > 0 ? curvePlot(stage) : ''}</figure><div><table><caption>Settings</caption><tbody>${rows}</tbody></table>
<p class="sub">997 Hz at the alignment level: THD ${text(withUnit(stage.thdPercent, '%', 3))}${harmonics ? `; ${text(harmonics)}` : ''}. 1 % THD at ${text(withUnit(stage.onePercentDbfs, 'dBFS'))} after trim in.</p></div></div></div>`;
}

/** The numbers of every plot. */
function behind({ racks, mix, sides }: SessionReport): string {
  const filled = racks.filter(({ stages }) => stages.length > 0);
  const tone = mix.thirdOctavesHz.map((hz, i) => [
    hertz(hz),
    figure(mix.toneDb[i], 2, true),
    ...filled.map(({ toneDb }) => figure(toneDb[i], 2, true)),
  ]);
  const spectrum = mix.spectrum
    .filter((_, i) => i % 8 === 0)
    .map(({ hz, aDb, bDb, addedDb }) => [hertz(Math.round(hz)), figure(aDb), figure(bDb), figure(addedDb)]);
  return `<section><h2>Figures behind the plots</h2>
<h3>Third octaves, dB</h3>${wide(['Band', 'Mix, B − A', ...filled.map(({ name }) => name)], tone)}
<h3>Spectrum of the mix, dB</h3>${wide(['At', sides.a.name, sides.b.name, 'Added'], spectrum)}
${filled.map((rack) => `<h3>Levels, ${text(rack.name)}</h3>${wide(['At', 'Loudness, LUFS', 'True peak, dBTP'], levelRows(rack))}`).join('')}
${filled.flatMap(({ name, stages }) => stages.map((stage) => `<h3>Curve, ${text(name)}, ${text(stage.label)}</h3>${wide(['In', ...stage.curve.filter((_, i) => i % 16 === 0).map(([x]) => figure(x, 3))], [['Out', ...stage.curve.filter((_, i) => i % 16 === 0).map(([, y]) => figure(y, 3))]])}`)).join('')}
</section>`;
}

function wide(head: readonly string[], rows: readonly (readonly string[])[]): string {
  return table(
    head,
    rows,
    Array.from({ length: head.length - 1 }, (_, i) => i + 1),
  );
}

function notes(words: string): string {
  return words.trim() === '' ? '' : `<p class="notes">${text(words)}</p>`;
}

/** @param numbers columns that are aligned to the right */
function table(head: readonly string[], rows: readonly (readonly string[])[], numbers: readonly number[]): string {
  const side = (column: number, cell: string) =>
    numbers.includes(column) ? ' class="n"' : /\S{25}/.test(cell) ? ' class="long"' : '';
  const top =
    head.length > 0
      ? `<thead><tr>${head.map((cell, i) => `<th scope="col"${side(i, cell)}>${text(cell)}</th>`).join('')}</tr></thead>`
      : '';
  const body = rows
    .map(
      (row) =>
        `<tr>${row.map((cell, i) => (i === 0 ? `<th scope="row"${side(0, cell)}>${text(cell)}</th>` : `<td${side(i, cell)}>${text(cell)}</td>`)).join('')}</tr>`,
    )
    .join('');
  return `<table>${top}<tbody>${body}</tbody></table>`;
}
