/** Which settings a report tells of a stage, and the defaults that it tells once for each kind. */
import type { ReportRack, ReportStage, SessionReport } from './report-model.ts';

/** Racks of which there is something to tell beyond the first page. */
export function describedRacks({ racks }: SessionReport): ReportRack[] {
  return racks.filter(({ stages, on, notes }) => stages.length > 0 || !on || notes.trim() !== '');
}

/** The settings that differ from their defaults, as rows of a name, a value and a remark. */
export function setRows({ parameters }: ReportStage): string[][] {
  return parameters
    .filter(({ atDefault }) => !atDefault)
    .map(({ label, text, inEffect }) => [label, text, inEffect ? '' : 'no effect as set']);
}

export interface KindDefaults {
  readonly label: string;
  /** "Drive 0.0 dB, Bias 0 %". */
  readonly text: string;
}

/** The defaults of every kind that is used, in the order of the signal path. */
export function kindDefaults({ racks }: SessionReport): KindDefaults[] {
  const kinds = new Map<string, ReportStage>();
  for (const stage of racks.flatMap(({ stages }) => stages)) if (!kinds.has(stage.kind)) kinds.set(stage.kind, stage);
  return [...kinds.values()].map(({ label, parameters }) => ({
    label,
    text: parameters.map((parameter) => `${parameter.label} ${parameter.defaultText}`).join(', '),
  }));
}
