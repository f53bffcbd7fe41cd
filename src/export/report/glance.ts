/** The first page of a report: the session at a glance, as plain text in rows, the same for HTML and Markdown. */

import { matchText } from './figure-rows.ts';
import type { ReportRack, ReportStage, SessionReport } from './report-model.ts';
import { figure, panText, withUnit } from './words.ts';

/** What is told of a session in pairs of a name and a value. */
export function sessionRows({ session, sides, exported }: SessionReport): string[][] {
  const { matchRegion } = session;
  return [
    ['Sample rate', `${session.sampleRate} Hz`],
    ['Length', `${figure(session.seconds, 2)} s`],
    ['Alignment level', `${figure(session.alignmentDbfs)} dBFS, of a sine`],
    ['Over-sampling', `${session.oversampling} times`],
    ['Latency, taken out of every file', `${session.latencySamples} samples`],
    [
      'Loudness match',
      session.matching
        ? `over ${figure(matchRegion.startSeconds, 2)} s to ${figure(matchRegion.endSeconds, 2)} s, ${session.matchSource}`
        : 'off',
    ],
    ['Last gain', matchText(sides.match)],
    ['Added by the stages', withUnit(sides.addedPercent, '% of amplitude', 2)],
    ...(session.muted.length > 0 ? [['Muted, and so left out', session.muted.join(', ')]] : []),
    ...(exported ? [['Written with this report', exportText(exported)]] : []),
  ];
}

export const PATH_HEAD = ['Rack', 'Into', 'Gain, dB', 'Pan', 'Stages and their drives', 'Match, dB', 'Added, %'];

/** A row for each strip in which anything is set, and for the mix. */
export function pathRows({ racks }: SessionReport): string[][] {
  return racks.filter((rack) => rack.place === 'mix' || isSet(rack)).map(pathRow);
}

/** Strips that stand as they came, in one sentence; null where there are none. */
export function untouchedText({ racks }: SessionReport): string | null {
  const names = racks
    .filter((rack) => rack.place !== 'mix' && !isSet(rack))
    .map(({ name, into }) => `${name} into ${into}`);
  return names.length === 0 ? null : `At unity, in the middle and with an empty rack: ${names.join(', ')}.`;
}

/** "3 of 9 racks have stages, 5 in all." */
export function countText({ racks }: SessionReport): string {
  const filled = racks.filter(({ stages }) => stages.length > 0);
  const stages = filled.reduce((sum, rack) => sum + rack.stages.length, 0);
  return filled.length === 0
    ? 'All racks are empty.'
    : `${filled.length} of ${racks.length} racks ${filled.length === 1 ? 'has' : 'have'} stages, ${stages} in all.`;
}

function isSet({ gainDb, pan, stages, on, notes }: ReportRack): boolean {
  return (gainDb ?? 0) !== 0 || (pan ?? 0) !== 0 || stages.length > 0 || !on || notes.trim() !== '';
}

function pathRow(rack: ReportRack): string[] {
  return [
    rack.name,
    rack.into,
    rack.gainDb === null ? '' : figure(rack.gainDb, 2, true),
    rack.pan === null ? '' : panText(rack.pan),
    `${rack.stages.map(stageText).join(' → ') || 'empty'}${rack.on ? '' : ', off'}`,
    rack.match ? figure(rack.match.gainDb + rack.match.trimDb, 2, true) : '–',
    rack.stages.length > 0 ? figure(rack.addedPercent, 2) : '–',
  ];
}

/** "Soft clip +3.0 dB", and in brackets where it is off. */
function stageText({ label, on, parameters }: ReportStage): string {
  const drive = parameters.find(({ id }) => id === 'drive');
  const text = drive ? `${label} ${drive.text.replaceAll(' ', '\u00a0')}` : label;
  return on ? text : `(${text}, off)`;
}

function exportText({ format, bits, fader, files }: NonNullable<SessionReport['exported']>): string {
  const count = (kind: string) => files.filter((file) => file.kind === kind).length;
  const prints = (kind: 'channel' | 'bus', one: string, many: string) => {
    const number = count(kind);
    return number === 0 ? [] : [`${number} ${number === 1 ? one : many} ${fader} fader`];
  };
  const mixes = files.filter(({ kind }) => kind === 'clean' || kind === 'coloured').map(({ name }) => name);
  const overs = files.filter((file) => file.overs > 0).map((file) => `${file.name} has ${file.overs}`);
  return [
    [...mixes, ...prints('channel', 'channel', 'channels'), ...prints('bus', 'bus', 'buses')].join(', '),
    `${format === 'wav' ? 'WAV' : 'FLAC'}, ${bits === 'float' ? '32 bit float' : `${bits} bit`}`,
    overs.length === 0 ? 'no overs' : `samples over full scale: ${overs.join(', ')}`,
  ].join('; ');
}
