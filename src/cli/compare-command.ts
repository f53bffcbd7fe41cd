import { basename } from 'node:path';
import { resample } from '../dsp/resample.ts';
import { cleanMix } from '../export/clean-mix.ts';
import { sessionStems } from '../export/session-stems.ts';
import type { Comparison } from '../measure/compare/compare-sounds.ts';
import { compareSounds } from '../measure/compare/compare-sounds.ts';
import type { ImportCheck } from '../measure/compare/import-check.ts';
import { importCheck } from '../measure/compare/import-check.ts';
import { IMPORT_VERDICTS } from '../measure/compare/import-verdict.ts';
import type { Stem } from '../measure/compare/stem-fit.ts';
import type { Planes } from '../render/rack-renderer.ts';
import { runToEnd } from '../render/run-steps.ts';
import { CliError, UsageError } from './cli-error.ts';
import { figuresOf } from './file-figures.ts';
import type { CliCommand } from './help.ts';
import { print, warn } from './output.ts';
import { looksLikeSession } from './read-session.ts';
import { notNumbersWarning, readBytes, readSound } from './read-sound.ts';
import { sessionJob } from './render-job.ts';
import { figure, signedText, table } from './sheet.ts';

export const compareCommand: CliCommand = {
  name: 'compare',
  about: 'Two recordings against each other: delay, gain, polarity, and what is left of one without the other.',
  forms: ['compare A B [--json]', 'compare SESSION.json|.zip MIXDOWN [--json]'],
  args: { json: { type: 'boolean', description: 'The figures as JSON, null where one is not defined.' } },
  more: () =>
    [
      'Reads mono and stereo WAV and FLAC. Lengths may differ; B is brought to the rate of A.',
      'With a session in place of A, its clean mix and every channel of it are compared with your own mixdown: whether the session stands as it left your host, and if not, what is missing, louder, softer, elsewhere, swapped or clipped.',
      `Its verdict is one of ${IMPORT_VERDICTS.join(', ')}. With "stands" and "offset" (the same sound, but for delay, gain or polarity of the whole) the exit code is 0, with the others 1.`,
      'JSON keys:',
      `  ${KEYS.join(', ')}`,
      '  bands: a list of hz, differenceDb, residualDb. a, b: what "measure" gives. outside: beforeA, afterA, beforeB, afterB, each with seconds and peakDbfs of sound that the other has nothing beside.',
      `  With a session these come first: ${CHECK_KEYS.join(', ')}. stems: a list of name, differences, levelDb, delaySamples, delaySeconds.`,
      '  delaySamples and gainDb say how B differs from A; identical is true where nothing is left, and then residualDb is null. Below a correlation of 0.3 they are not the same recording (related is false), and there is no delay or gain.',
    ].join('\n'),
  async run({ args }) {
    if (args._.length !== 2) throw new UsageError('Name two sound files, or a session and one: level-best compare A B');
    const [first, second] = args._;
    const isSession = looksLikeSession(readBytes(first));
    const a = isSession ? await sessionMix(first) : { ...(await readPlanes(first)), stems: [] };
    const b = await readPlanes(second);
    const planes = b.planes.map((plane) => resample(plane, b.sampleRate, a.sampleRate));
    if (b.sampleRate !== a.sampleRate) warn(`${second}: It was brought from ${b.sampleRate} to ${a.sampleRate} Hz.`);
    const mixdown = { planes, sampleRate: b.sampleRate, original: b.planes };
    const check = isSession
      ? runToEnd(importCheck({ cleanMix: a.planes, stems: a.stems }, mixdown, a.sampleRate))
      : null;
    const comparison = check?.comparison ?? runToEnd(compareSounds(a.planes, planes, a.sampleRate, b.sampleRate));
    if (args.json) print(JSON.stringify({ ...wordsOf(check), ...compareJson(comparison) }, null, 2));
    else print(compareSheet(basename(first), basename(second), comparison, check));
    if (check && !SAME_SOUND.includes(check.verdict)) process.exitCode = 1;
  },
};

/** The figures in the order of the JSON. The names are a promise. */
const KEYS = [
  'sampleRate',
  'framesA',
  'framesB',
  'bandHz',
  'related',
  'overlapFrames',
  'outside',
  'delaySamples',
  'delayWholeSamples',
  'delayFractionSamples',
  'delaySeconds',
  'polarity',
  'channelMatch',
  'balanceDb',
  'correlation',
  'gainDb',
  'gainLu',
  'identical',
  'residualDb',
  'plrChangeDb',
  'truePeakChangeDb',
  'bands',
  'a',
  'b',
] as const;

function compareJson(comparison: Comparison) {
  const figures = { ...comparison, a: figuresOf(comparison.a), b: figuresOf(comparison.b) };
  return Object.fromEntries(KEYS.map((key) => [key, figures[key]]));
}

/** What comes before them with a session. */
const CHECK_KEYS = ['verdict', 'sentences', 'stems', 'clipped', 'bits', 'unexplainedDb'] as const;
const SAME_SOUND: readonly string[] = ['stands', 'offset'];

function wordsOf(check: ImportCheck | null) {
  return check ? Object.fromEntries(CHECK_KEYS.map((key) => [key, check[key]])) : {};
}

interface Sound {
  readonly planes: Planes;
  readonly sampleRate: number;
}

async function readPlanes(path: string): Promise<Sound> {
  const { audio } = await readSound(path);
  const { channels, sampleRate, notNumbers } = audio;
  if (channels.length > 2) {
    throw new CliError(
      `${path}: It has ${channels.length} channels, and "compare" takes mono and stereo; export it so.`,
    );
  }
  if (sampleRate < 8000) throw new CliError(`${path}: Its rate is ${sampleRate} Hz; export it at 8 kHz or above.`);
  notNumbersWarning(path, notNumbers).forEach(warn);
  return { planes: channels, sampleRate };
}

async function sessionMix(path: string): Promise<Sound & { readonly stems: readonly Stem[] }> {
  const { document, sources, warnings } = await sessionJob(path);
  warnings.forEach(warn);
  const stems = sessionStems(document, sources);
  return { planes: runToEnd(cleanMix(document, sources)), sampleRate: document.sampleRate, stems };
}

function compareSheet(first: string, second: string, found: Comparison, check: ImportCheck | null): string {
  const { delaySamples, delaySeconds, polarity, identical, residualDb } = found;
  const delay = delaySamples === null ? '–' : signedText(delaySamples, Number.isInteger(delaySamples) ? 0 : 4, true);
  const rows = [
    [
      'Delay',
      delay.padStart(8),
      `samples${delaySeconds === null ? '' : `, ${signedText(1000 * delaySeconds, 3, true)} ms`}`,
    ],
    ['Gain', figure(found.gainDb, 3, true), 'dB'],
    ['Loudness', figure(found.gainLu, 2, true), 'LU'],
    ['Polarity', (polarity ?? '–').padStart(8), ''],
    ['Correlation', figure(found.correlation, 3), found.related === false ? 'not the same recording' : ''],
    ...(found.channelMatch && found.channelMatch !== 'same'
      ? [['Sides', found.channelMatch.replaceAll('-', ' ').padStart(8), '']]
      : []),
    ['Left over', identical ? ' nothing' : figure(residualDb), identical ? '' : 'dB against B'],
    ['Peak to loudness', figure(found.plrChangeDb, 2, true), 'dB'],
    ['True peak', figure(found.truePeakChangeDb, 2, true), 'dB'],
  ];
  const bands = found.bands.map(({ hz, differenceDb, residualDb: left }) => [
    hz < 1000 ? `${hz} Hz` : `${hz / 1000} kHz`,
    figure(differenceDb, 2, true),
    figure(left),
  ]);
  return [
    `${second} against ${first}`,
    ...(check ? ['', ...check.sentences] : []),
    '',
    table(rows),
    '',
    table([['Band', '   B − A', 'Left, dB'], ...bands]),
  ].join('\n');
}
