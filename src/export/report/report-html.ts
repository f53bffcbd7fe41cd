import { levelRows, sideRows } from './figure-rows.ts';
import { countText, PATH_HEAD, pathRows, sessionRows, untouchedText } from './glance.ts';
import { notes, numberTable, table } from './html-parts.ts';
import { rackHtml } from './rack-html.ts';
import type { SessionReport } from './report-model.ts';
import { spectrumPlot, tonePlot } from './report-plots.ts';
import { REPORT_STYLE } from './report-style.ts';
import { describedRacks, kindDefaults } from './set-values.ts';
import { figure, hertz, escapeHtml as text } from './words.ts';

/**
 * The report as one page that needs nothing else: no script, no font, no address. Every name and note is text in it.
 * The first sheet recalls the session at a glance; then comes only what is set.
 */
export function reportHtml(report: SessionReport): string {
  const { session, mix } = report;
  const title = `${session.name || 'Session'}: report`;
  return `<!doctype html>
<html lang="en">
<head><meta charset="utf-8"><meta name="viewport" content="width=device-width,initial-scale=1"><title>${text(title)}</title><style>${REPORT_STYLE}</style></head>
<body>
<header><h1>${text(session.name || 'Session')}</h1><p class="sub">${text(report.program)}${report.createdAt ? `, ${text(report.createdAt.slice(0, 16).replace('T', ' '))} UTC` : ''}</p></header>
<main>
${glance(report)}
${theMix(report)}
${describedRacks(report)
  .map((rack) => rackHtml(rack, mix.thirdOctavesHz))
  .join('\n')}
${defaults(report)}
${scenes(report)}
${trials(report)}
${behind(report)}
</main>
<footer>${text(report.program)}; over-sampled ${session.oversampling} times; figures by ITU-R BS.1770-5 and AES17 conventions, over the match region.</footer>
</body>
</html>
`;
}

function glance(report: SessionReport): string {
  const { session, sides, statements } = report;
  const untouched = untouchedText(report);
  const facts = sessionRows(report).map(([name, value]) => `<div><dt>${text(name)}</dt><dd>${text(value)}</dd></div>`);
  return `<div class="glance">
${notes(session.notes)}${statements.map((statement) => `<p class="statement">${text(statement)}</p>`).join('\n')}
<section><h2>Both sides</h2>
${table(['', sides.a.name, sides.b.name, 'Change', 'Unit'], sideRows(sides.a.figures, sides.b.figures), [1, 2, 3])}
<dl class="facts">${facts.join('')}</dl>
</section>
<section><h2>Signal path</h2>
<p class="sub">${text(countText(report))}</p>
${table(PATH_HEAD, pathRows(report), [2, 5, 6])}
${untouched ? `<p class="sub">${text(untouched)}</p>` : ''}
</section>
</div>`;
}

function theMix(report: SessionReport): string {
  const { sides, mix } = report;
  const [a, b] = [sides.a.name, sides.b.name];
  return `<section class="sheet"><h2>The mix in spectra</h2>
<figure>${spectrumPlot(report)}<figcaption>Averaged over the match region; added is what no linear filter of ${text(a)} explains.</figcaption></figure>
<figure>${tonePlot(`${b} less ${a} in third octaves`, mix.thirdOctavesHz, mix.toneDb)}<figcaption>${text(b)} less ${text(a)}, third octaves.</figcaption></figure>
</section>`;
}

function defaults(report: SessionReport): string {
  const kinds = kindDefaults(report);
  if (kinds.length === 0) return '';
  const rows = kinds.map(({ label, text: words }) => [label, words]);
  return `<section class="whole"><h2>Defaults</h2><p class="sub">What isn't told of a stage above is as here.</p>${table([], rows)}</section>`;
}

function scenes({ scenes: list }: SessionReport): string {
  if (list.length === 0) return '';
  const rows = list.map(({ name, notes: words }) => [name, words]);
  return `<section><h2>Scenes</h2>${table(['Scene', 'Notes'], rows)}</section>`;
}

function trials({ trials: list }: SessionReport): string {
  if (list.length === 0) return '';
  const value = (figures: number | string | null) =>
    typeof figures === 'number' ? figure(figures, Number.isInteger(figures) ? 0 : 4) : (figures ?? '–');
  const parts = list.map(
    ({ kind, startedAt, programme, sentence, figures }) =>
      `<h3>${text(kind)}, ${text(startedAt)}</h3><p>${text(programme)}</p><p>${text(sentence)}</p>${table(
        [],
        Object.entries(figures).map(([name, one]) => [name, value(one)]),
      )}`,
  );
  return `<section><h2>Blind trials</h2>${parts.join('')}</section>`;
}

/** The numbers of every plot, for those who don't see it; they open on the screen and aren't printed unless opened. */
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
  const curves = filled.flatMap(({ name, stages }) =>
    stages.map(({ label, curve }) => {
      const points = curve.filter((_, i) => i % 16 === 0);
      return `<h3>Curve, ${text(name)}, ${text(label)}</h3>${numberTable(['In', ...points.map(([x]) => figure(x, 3))], [['Out', ...points.map(([, y]) => figure(y, 3))]])}`;
    }),
  );
  return `<section><details><summary>Figures behind the plots</summary>
<h3>Third octaves, dB</h3>${numberTable(['Band', 'Mix, B − A', ...filled.map(({ name }) => name)], tone)}
<h3>Spectrum of the mix, dB</h3>${numberTable(['At', sides.a.name, sides.b.name, 'Added'], spectrum)}
${filled.map((rack) => `<h3>Levels, ${text(rack.name)}</h3>${numberTable(['At', 'Loudness, LUFS', 'True peak, dBTP'], levelRows(rack))}`).join('')}
${curves.join('')}
</details></section>`;
}
