import { html } from 'lit';
import { toNumber } from '../../engine/parameters.ts';
import { findParameter, findStageKind } from '../../engine/stages/catalogue.ts';
import { MIX_ID, type Rack, type SessionDocument, type Stage } from '../../session/document.ts';
import type { RackFigures, SideFigures } from '../../stores/analysis-store.ts';
import { figure, figureText } from '../format/figures.ts';
import type { StageOnPath } from '../level-diagram/level-path.ts';

/** A rack's name as the engineer knows it; its id when the document doesn't have it. */
export function rackName(document: SessionDocument, rackId: string): string {
  if (rackId === MIX_ID) return 'Mix';
  return [...document.channels, ...document.buses].find(({ id }) => id === rackId)?.name ?? rackId;
}

/** Where the sound goes after the rack. */
export function whereTo(document: SessionDocument, rackId: string): string {
  const channel = document.channels.find(({ id }) => id === rackId);
  if (channel) return `channel into ${document.buses.find(({ id }) => id === channel.busId)?.name ?? 'the mix'}`;
  return rackId === MIX_ID ? 'the last rack before Out' : 'bus into the mix';
}

/** What the level diagram needs of a stage: its trims, and whether it works at all. */
export function onPath(stage: Stage, rack: Rack, figures: RackFigures | undefined): StageOnPath {
  const kind = findStageKind(stage.kind);
  const trim = (id: string) => {
    const parameter = kind && findParameter(kind, id);
    return parameter ? toNumber(parameter, stage.params[id]) : 0;
  };
  return {
    on: rack.on && stage.on,
    trimInDb: trim('trimIn'),
    trimOutDb: trim('trimOut'),
    onePercentDbfs: figures?.faces.find(({ stageId }) => stageId === stage.id)?.onePercentDbfs ?? null,
  };
}

/** The figures of one signal as the rows of a list. */
export function sideList(side: SideFigures | null, reason: string | null) {
  const why = reason ?? (side ? 'Not defined for this signal' : 'Not measured yet');
  const row = (name: string, title: string, value: number | null | undefined, digits: number) =>
    html`<div title=${title}><dt>${name}</dt><dd>${figureText(value, { digits }, why)}</dd></div>`;
  return html`
    ${row('LUFS', 'Integrated loudness', side?.integratedLufs, 1)}
    ${row('dBTP', 'True peak', side?.truePeakDbtp, 1)}
    ${row('PLR', `Peak to loudness ratio, dB: ${figure(side?.plrDb, { digits: 1 })}`, side?.plrDb, 1)}
    ${row('+ peak', 'Highest positive sample, dBFS', side?.positivePeakDbfs, 1)}
    ${row('− peak', 'Highest negative sample, dBFS', side?.negativePeakDbfs, 1)}
  `;
}
