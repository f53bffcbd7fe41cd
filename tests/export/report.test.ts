/** The report: every stage with every setting, both sides, in three forms, and nothing in it that isn't text. */
import { describe, expect, it } from 'vitest';
import { measure } from '../../src/dsp/measure.ts';
import { thirdOctaveDifference, thirdOctavePowers } from '../../src/dsp/third-octaves.ts';
import { stageKinds } from '../../src/engine/stages/catalogue.ts';
import { buildReport } from '../../src/export/report/build-report.ts';
import { pathRows } from '../../src/export/report/glance.ts';
import { reportHtml } from '../../src/export/report/report-html.ts';
import { reportMarkdown } from '../../src/export/report/report-markdown.ts';
import type { SessionReport } from '../../src/export/report/report-model.ts';
import { kindDefaults, setRows } from '../../src/export/report/set-values.ts';
import { escapeHtml, escapeMarkdown } from '../../src/export/report/words.ts';
import { runToEnd } from '../../src/render/run-steps.ts';
import type { SessionDocument } from '../../src/session/document.ts';
import { smallSession, smallSources, stageOf } from '../measure/sessions.ts';
import { matched, planOf, sounds, written } from './export-rig.ts';

/** A third of the usual rate: what is told doesn't hang on it. */
const RATE = 16_000;
const NASTY = `<script>alert("1")</script> & 'Ö' | *x* </td> \u0000`;

function nasty(): SessionDocument {
  const document = smallSession(RATE);
  document.name = NASTY;
  document.notes = `First\nsecond ${NASTY}`;
  document.channels[0].name = NASTY;
  document.channels[0].rack.notes = 'Rack note <b>';
  document.channels[0].rack.stages[0].notes = 'Stage note "quoted"';
  document.channels[1].rack.on = false;
  document.channels[2].rack.stages[1].on = false;
  // One of every kind, one of them with a setting that has no effect as set.
  document.mix.rack.stages = stageKinds.map(({ id }) => stageOf(id, id === 'soft-clip' ? { drive: 3 } : {}));
  document.scenes = [{ id: 's', name: 'Softer <i>', notes: NASTY, racks: {}, allDrivesDb: 0 }];
  return document;
}

const report = (document: SessionDocument): SessionReport => {
  const made = runToEnd(
    buildReport({
      document,
      sources: smallSources(4, document.sampleRate),
      factor: 4,
      program: 'Level Best 0.0.0',
      now: new Date('2026-03-01T10:00:00Z'),
      trials: [
        {
          kind: 'abx',
          startedAt: '2026-03-01',
          programme: NASTY,
          sentence: '12 of 16.',
          figures: { p: 0.0384, n: 16 },
        },
      ],
    }),
  );
  if (!made) throw new Error('There is no report.');
  return made;
};

/** Tags that open and close, in order; throws where they don't fit. */
function parse(html: string): { tags: string[]; texts: string[] } {
  const empty = ['meta', '!doctype', 'line', 'rect', 'circle', 'polyline'];
  const stack: string[] = [];
  const tags: string[] = [];
  const texts: string[] = [];
  const style = /<style>[^<]*<\/style>/;
  for (const [, tag, text] of html.replace(style, '').matchAll(/<([^<>]*)>|([^<>]+)/g)) {
    if (text !== undefined) {
      texts.push(text);
      continue;
    }
    const [, close, name, attributes] =
      /^(\/?)([!a-zA-Z0-9]+)((?:\s+[-a-zA-Z0-9]+(?:="[^"]*")?)*)\s*\/?$/.exec(tag) ?? [];
    if (!name) throw new Error(`This is no tag: <${tag}>`);
    if (close) {
      if (stack.pop() !== name) throw new Error(`</${name}> closes nothing.`);
    } else {
      tags.push(name + attributes);
      if (!empty.includes(name.toLowerCase())) stack.push(name);
    }
  }
  if (stack.length > 0) throw new Error(`${stack.join(', ')} stay open.`);
  return { tags, texts };
}

const document = nasty();
const made = report(document);
const html = reportHtml(made);
const markdown = reportMarkdown(made);

describe('the model', () => {
  it('holds every rack and stage, with every declared setting', () => {
    expect(made.racks.map(({ id, place, into }) => [id, place, into])).toEqual([
      ['melodica', 'channel', 'Reeds'],
      ['accordion', 'channel', 'Reeds'],
      ['frame drum', 'channel', 'Mix'],
      ['reeds', 'bus', 'Mix'],
      ['mix', 'mix', 'Output'],
    ]);
    for (const rack of made.racks) {
      for (const stage of rack.stages) {
        const kind = stageKinds.find(({ id }) => id === stage.kind)!;
        expect(stage.parameters.map(({ id }) => id)).toEqual(kind.parameters.map(({ id }) => id));
        for (const parameter of stage.parameters)
          expect(parameter.atDefault).toBe(parameter.value === parameter.default);
      }
    }
    const [drive] = made.racks[0].stages[0].parameters.filter(({ id }) => id === 'drive');
    expect(drive).toMatchObject({
      value: 8,
      text: '+8.0 dB',
      unit: 'dB',
      default: 0,
      atDefault: false,
      inEffect: true,
    });
    // What has no effect as set is said to have none.
    expect(
      made.racks
        .flatMap(({ stages }) => stages)
        .flatMap(({ parameters }) => parameters)
        .some(({ inEffect }) => !inEffect),
    ).toBe(true);
    expect(
      made.racks.map(({ levels, stages, on }) => levels.length === (on ? stages.length + 1 : levels.length)),
    ).not.toContain(false);
    expect(made.statements[0]).toMatch(/does not distribute over stems/);
  });

  it('is JSON without loss: nothing undefined, NaN or infinite', () => {
    expect(JSON.parse(JSON.stringify(made))).toEqual(made);
    const walk = (value: unknown): void => {
      if (typeof value === 'number') expect(Number.isFinite(value)).toBe(true);
      else if (value !== null && typeof value === 'object') Object.values(value).forEach(walk);
    };
    walk(made);
    expect(Object.keys(made)).toEqual([
      'format',
      'version',
      'program',
      'createdAt',
      'session',
      'statements',
      'sides',
      'mix',
      'racks',
      'scenes',
      'trials',
      'exported',
    ]);
  });

  it('measures what an export writes', async () => {
    // At the usual rate: third octaves near half the rate depend on how they are taken.
    const rate = 48_000;
    const session = { document: smallSession(rate), sources: smallSources(4, rate) };
    const found = report(session.document);
    const files = sounds(await written(planOf(session, { sides: matched(session).sides, stems: false, tail: false })));
    const [clean, coloured] = ['clean.wav', 'coloured.wav'].map((name) => files.get(name)!);
    for (const [side, planes] of [
      ['a', clean],
      ['b', coloured],
    ] as const) {
      const measured = measure(planes, rate);
      const { figures } = found.sides[side];
      expect(figures.integratedLufs).toBeCloseTo(measured.integratedLufs!, 3);
      expect(figures.truePeakDbtp).toBeCloseTo(measured.truePeakDbtp!, 3);
    }
    expect(found.sides.match?.residualLu).toBeCloseTo(0, 3);
    const tone = thirdOctaveDifference(thirdOctavePowers(clean, rate), thirdOctavePowers(coloured, rate), 60);
    // Two ways of averaging agree where there is something to average.
    found.mix.toneDb.forEach((db, i) => {
      if (i >= 6 && db !== null && tone[i] !== null) expect(Math.abs(db - tone[i]!)).toBeLessThan(0.5);
    });
    expect(found.mix.spectrum.some(({ aDb, bDb, addedDb }) => aDb! > -60 && bDb! > -60 && addedDb! < bDb! - 6)).toBe(
      true,
    );
  });

  it('uses the gains that the session stores and says how well they match', () => {
    const stored = matched({ document: smallSession(RATE), sources: smallSources(4, RATE) }).sides.b;
    stored.channels[0].rack.matchGainDb! += 0.5;
    const found = report(stored);
    expect(found.session.matchSource).toBe('stored');
    expect(found.racks[0].match?.gainDb).toBe(stored.channels[0].rack.matchGainDb);
    expect(found.racks[0].match?.residualLu).toBeCloseTo(0.5, 3);
  });

  it('there is none of silence', () => {
    const steps = buildReport({ document, sources: new Map(), factor: 4, program: 'x' });
    expect(runToEnd(steps)).toBe(null);
  });
});

describe('report.html', () => {
  const { tags, texts } = parse(html);

  it('is whole, needs nothing else and runs nothing', () => {
    expect(html).toMatch(/^<!doctype html>\n<html lang="en">/);
    expect(tags.filter((tag) => /^(script|link|img|iframe|object|a )/.test(tag))).toEqual([]);
    expect(html).not.toMatch(/https?:|url\(|@import|\son\w+=/);
  });

  it('holds every stage with its settings, its curve and its notes', () => {
    for (const { stages, name } of made.racks) {
      expect(texts).toContain(escapeHtml(name));
      for (const { id, parameters } of stages) {
        expect(tags).toContain(`div class="stage" data-stage="${id}"`);
        for (const { text, atDefault } of parameters) if (!atDefault) expect(texts).toContain(escapeHtml(text));
      }
    }
    const stages = made.racks.reduce((sum, rack) => sum + rack.stages.length, 0);
    expect(tags.filter((tag) => tag.startsWith('div class="stage"'))).toHaveLength(stages);
    // Spectrum, tone of the mix; per rack with stages levels and tone; per stage a curve.
    const racks = made.racks.filter((rack) => rack.stages.length > 0).length;
    expect(tags.filter((tag) => tag.startsWith('svg'))).toHaveLength(2 + 2 * racks + stages);
    expect(texts).toContain('Stage note &quot;quoted&quot;');
    expect(texts).toContain('Rack note &lt;b&gt;');
    expect(texts.some((text) => text.startsWith('A bus or mix with colour does not distribute over stems'))).toBe(true);
  });

  it('has no hole in it', () => {
    for (const text of [...texts, ...tags]) expect(text).not.toMatch(/NaN|undefined|Infinity|\bnull\b|\[object/);
  });

  it('shows any name as text', () => {
    expect(html).not.toContain('<script');
    expect(html).toContain('&lt;script&gt;alert(&quot;1&quot;)&lt;/script&gt; &amp; &#39;Ö&#39;');
    expect(html).not.toContain('\u0000');
  });
});

describe('what is told', () => {
  it('begins with the session at a glance: both sides, the path with every drive, what was written', () => {
    const exported = {
      format: 'wav',
      bits: 24,
      fader: 'before',
      files: [
        { name: 'clean.wav', kind: 'clean', channels: 2, overs: 0, truePeakDbtp: -1 },
        { name: 'coloured.wav', kind: 'coloured', channels: 2, overs: 3, truePeakDbtp: 0.2 },
        { name: 'channels before fader/a.wav', kind: 'channel', channels: 1, overs: 0, truePeakDbtp: -9 },
        { name: 'buses before fader/R.wav', kind: 'bus', channels: 2, overs: 0, truePeakDbtp: -9 },
      ],
    } as const;
    const page = reportHtml({ ...made, exported });
    const glance = page.slice(0, page.indexOf('<section class="sheet">'));
    const path = pathRows(made).map((row) => row[4]);
    expect(path.slice(0, 4)).toEqual([
      'Soft clip +8.0\u00a0dB',
      'Harmonic set +5.0\u00a0dB, off',
      'Diode pair +6.0\u00a0dB → (Soft clip 0.0\u00a0dB, off)',
      'Soft clip +4.0\u00a0dB',
    ]);
    expect(path[4].split(' → ')).toHaveLength(stageKinds.length);
    for (const text of path) expect(glance).toContain(text);
    expect(glance).toContain(`5 of 5 racks have stages, ${5 + stageKinds.length} in all.`);
    expect(glance).toContain(
      'clean.wav, coloured.wav, 1 channel before fader, 1 bus before fader; WAV, 24 bit; samples over full scale: coloured.wav has 3',
    );
    expect(reportMarkdown({ ...made, exported })).toContain('1 channel before fader');
  });

  it('is only what is set: strips as they came in one sentence, no default in a stage, defaults once for each kind', () => {
    const plain = smallSession(RATE);
    plain.channels[0] = { ...plain.channels[0], gainDb: 0, pan: 0, rack: { ...plain.channels[0].rack, stages: [] } };
    const found = report(plain);
    const page = reportHtml(found);
    const words = [page, reportMarkdown(found)];
    for (const text of words)
      expect(text).toContain('At unity, in the middle and with an empty rack: melodica into Reeds.');
    expect(page).not.toContain('The rack is empty');
    for (const { stages } of found.racks) {
      for (const stage of stages) {
        expect(setRows(stage).map(([label]) => label)).toEqual(
          stage.parameters.filter(({ value, default: usual }) => value !== usual).map(({ label }) => label),
        );
      }
    }
    const kinds = new Set(found.racks.flatMap(({ stages }) => stages.map(({ label }) => label)));
    const defaults = kindDefaults(found);
    expect(defaults.map(({ label }) => label).sort()).toEqual([...kinds].sort());
    for (const { text } of defaults) {
      expect(words[0].split(escapeHtml(text))).toHaveLength(2);
      expect(words[1].split(escapeMarkdown(text))).toHaveLength(2);
    }
  });
});

describe('report.md', () => {
  it('holds every stage, and names as text', () => {
    for (const { stages } of made.racks)
      for (const { label } of stages) expect(markdown).toContain(label.replaceAll('-', '\\-'));
    expect(markdown).not.toMatch(/NaN|undefined|Infinity|\bnull\b|<script/);
    // A name with a bar doesn't open another cell: every row of a table has as many as its head.
    const bars = (line: string) => line.replaceAll(/\\\|/g, '').split('|').length;
    const lines = markdown.split('\n');
    lines.forEach((line, i) => {
      if (line.startsWith('|') && lines[i - 1]?.startsWith('|')) expect(bars(line)).toBe(bars(lines[i - 1]));
    });
  });
});
