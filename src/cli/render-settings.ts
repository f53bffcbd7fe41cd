/** What `render` is told about its files, and what it warns of. */
import type { ExportBits, ExportFormat, ExportOvers } from '../export/export-options.ts';
import type { FaderPoint } from '../render/tap-stream.ts';
import type { SessionDocument } from '../session/document.ts';
import type { RenderJob } from './render-job.ts';
import { idleSettings } from './stage-argument.ts';

export interface RenderSettings {
  readonly factor: 4 | 8;
  readonly format: ExportFormat;
  readonly bits: ExportBits;
  /** What becomes of mixes that pass full scale in whole numbers. */
  readonly overs: ExportOvers;
  /** Prints of channels and buses; of a session only. */
  readonly stems: boolean;
  /** Where prints are taken. */
  readonly fader: FaderPoint;
  /** Lets filters ring out behind the last sound of a session. */
  readonly tail: boolean;
}

/** What should be known of a render, one sentence each. */
export function renderWarnings(
  job: RenderJob,
  document: SessionDocument,
  files: readonly { readonly file: string; readonly overs: number }[],
  bits: ExportBits,
): string[] {
  const strips = [...document.channels, ...document.buses].map(({ name, rack }) => ({ name: `"${name}"`, rack }));
  const racks = [...strips, { name: 'Mix', rack: document.mix.rack }];
  return [
    ...job.warnings,
    ...racks.flatMap(({ name, rack }) => idleSettings(rack, name)),
    ...files.flatMap(({ file, overs }) => overWarning(file, overs, bits)),
    ...(document.matching && document.mix.outputMatchDb === null
      ? [
          'The match region holds no sound above −70 LUFS for 0.4 s, so there is nothing to match: both sides are as they come.',
        ]
      : []),
  ];
}

function overWarning(file: string, overs: number, bits: ExportBits): string[] {
  if (overs === 0) return [];
  const samples = overs === 1 ? '1 sample lies' : `${overs} samples lie`;
  return bits === 'float'
    ? [
        `${file}: ${samples} above full scale, and they are kept as they are; turn it down before it becomes whole numbers.`,
      ]
    : [`${file}: ${samples} above full scale, and they were limited; lower the input or write --bits float.`];
}
