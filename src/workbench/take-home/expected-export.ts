/** What an export will write, said before it starts, without rendering anything. */

import { exportSides } from '../../export/export-document.ts';
import type { ExportPlan } from '../../export/export-plan.ts';
import { planExport } from '../../export/export-plan.ts';
import { fileSize } from '../../export/export-stream.ts';
import type { ExportKind } from '../../export/planned-files.ts';
import { AudioFileError } from '../../files/audio-file-error.ts';
import { matchRegionFrames } from '../../measure/match-region.ts';
import type { Planes } from '../../render/rack-renderer.ts';
import type { SessionDocument } from '../../session/document.ts';
import type { ExpectedExport, ExpectedFile, ExportSettings } from '../../stores/take-home-store.ts';
import type { KnownFigures } from './expected-overs.ts';
import { overSentences } from './expected-overs.ts';

export const REPORT_NAMES = ['report.html', 'report.md', 'report.json'];

export function kindsOf({ pair, channels, buses }: ExportSettings): ExportKind[] {
  return [
    ...(pair ? (['clean', 'coloured'] as const) : []),
    ...(channels ? (['channel'] as const) : []),
    ...(buses ? (['bus'] as const) : []),
  ];
}

/** Settings that go together: FLAC has no floats. */
export function settled(settings: ExportSettings): ExportSettings {
  return settings.format === 'flac' && settings.bits === 'float' ? { ...settings, bits: 24 } : settings;
}

/**
 * @param sources each channel's sound at the session's rate, by its id; only the lengths are looked at
 * @param figures of the session, as far as they are known
 */
export function expectedExport(
  document: SessionDocument,
  sources: ReadonlyMap<string, Planes>,
  settings: ExportSettings,
  figures: KnownFigures = { status: 'unknown' },
): ExpectedExport {
  const { format, bits, report, fader } = settings;
  const kinds = kindsOf(settings);
  const plan = planExport({
    sides: exportSides(document),
    sources,
    factor: document.exportOversampling,
    format,
    bits,
    pair: settings.pair,
    stems: settings.channels || settings.buses,
    fader,
    overs: settings.overs,
    tail: false,
    program: '',
  });
  const planned = plan.files.filter(({ kind }) => kinds.includes(kind));
  // A FLAC's size is known at its end; as a WAV of the same words it can't be much larger.
  const sized: ExportPlan = { ...plan, options: { ...plan.options, format: 'wav' } };
  let refusal = refusalOf(plan, settings);
  const files = planned.map((file): ExpectedFile => {
    const { name, kind, channels } = file;
    try {
      return { name, kind, channels, bytes: fileSize(sized, file) };
    } catch (fault) {
      if (!(fault instanceof AudioFileError)) throw fault;
      refusal ??= fault.message;
      return { name, kind, channels, bytes: null };
    }
  });
  const reports = REPORT_NAMES.map((name): ExpectedFile => ({ name, kind: 'report', channels: null, bytes: null }));
  return {
    files: [...files, ...(report ? reports : [])],
    bytes: files.reduce((sum, { bytes }) => sum + (bytes ?? 0), 0),
    atMost: format === 'flac',
    warnings: overSentences(plan, planned, figures, bits, isWhole(plan)),
    sentences: sentencesOf(plan, document, sources, settings),
    refusal,
  };
}

/** True where the figures are of all of the session. */
function isWhole({ options, frames, inputs }: ExportPlan): boolean {
  const planes = inputs.reduce((sum, one) => sum + one.length, 0);
  const [start, end] = matchRegionFrames(options.sides.b, { frames, planes });
  return start === 0 && end >= frames;
}

function refusalOf({ frames }: ExportPlan, settings: ExportSettings): string | null {
  if (frames === 0) return 'There is no sound to export: add audio files, or let a channel play that is muted.';
  if (kindsOf(settings).length === 0 && !settings.report) return 'Choose at least one thing to write.';
  return null;
}

function sentencesOf(
  plan: ExportPlan,
  document: SessionDocument,
  sources: ReadonlyMap<string, Planes>,
  { pair, channels, bits, overs }: ExportSettings,
): string[] {
  const { a, b, names } = plan.options.sides;
  const silent = b.channels.filter(({ id }) => !sources.has(id)).map(({ name }) => `"${name}"`);
  const isColoured = [a, b].some((side) =>
    side ? [...side.channels, ...side.buses, side.mix].some(({ rack }) => rack.on && rack.stages.length > 0) : false,
  );
  const isPlain = names.a === 'Clean' && names.b === 'Coloured';
  return [
    ...plan.warnings,
    ...(silent.length > 0 && (channels || pair) ? [`Without sound, and so silent: ${silent.join(', ')}.`] : []),
    ...(pair && !isPlain ? [`The pair is what stands on the switch: ${names.a} and ${names.b}.`] : []),
    ...(pair && bits !== 'float' && overs !== 'limit'
      ? [
          'Should a mix pass full scale, both are written lower, alike: they stay matched, and the report says by how much.',
        ]
      : []),
    ...(pair && !document.matching ? ['Matching is off: the pair is written at the levels as they come.'] : []),
    ...(isColoured && plan.frames > 0
      ? ['What rings on behind the last sound, ten seconds at most, comes on top of these sizes.']
      : []),
  ];
}

/** Equal for documents with the same clean mix: the same sounds, gains, balances, routes and mutes. */
export function cleanKey({ sampleRate, channels, buses }: SessionDocument): string {
  return JSON.stringify([
    sampleRate,
    channels.map(({ audio, gainDb, pan, busId, mute }) => [audio?.sha256, gainDb, pan, busId, mute]),
    buses.map(({ id, gainDb, mute }) => [id, gainDb, mute]),
  ]);
}
