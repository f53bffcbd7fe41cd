import type { BenchResult } from '../measure/tone-bench/result.ts';
import { sessionBenchSpec } from '../measure/tone-bench/session-spec.ts';
import type { BenchParameter, BenchSpec, BenchTestId } from '../measure/tone-bench/spec.ts';
import { BENCH_SILENT, BENCH_TESTS, findBenchTest } from '../measure/tone-bench/spec.ts';
import { BenchError, ToneBench } from '../measure/tone-bench/tone-bench.ts';
import { runToEnd } from '../render/run-steps.ts';
import type { Rack, RackId, SessionDocument } from '../session/document.ts';
import { emptyRack, emptySession, findRack, MIX_ID, rackIds } from '../session/document.ts';
import { benchSheet } from './bench-sheet.ts';
import { CliError, UsageError } from './cli-error.ts';
import type { CliCommand } from './help.ts';
import { repeatedOption } from './help.ts';
import { print, warn } from './output.ts';
import { readSession } from './read-session.ts';
import { signedText, table } from './sheet.ts';
import { checkRack, idleSettings, parseStage } from './stage-argument.ts';

const MOST_STAGES = 8;

/** Every parameter of every test once; several tests share some. */
const PARAMETERS: readonly BenchParameter[] = [
  ...new Map(
    BENCH_TESTS.flatMap(({ parameters }) => parameters).map((parameter) => [parameter.id, parameter]),
  ).values(),
];

export const benchCommand: CliCommand = {
  name: 'bench',
  about: 'Test signals through a rack: harmonics, THD, intermodulation, DC, aliases.',
  forms: [
    'bench [--stage KIND:parameter=value,…]… [--test TEST] [options]',
    'bench --session SESSION.json --rack ID [--test TEST] [options]',
  ],
  args: {
    stage: {
      type: 'string',
      valueHint: 'KIND:…',
      description: 'A stage of the rack, in order; up to 8. Without any, the rack is empty.',
    },
    session: {
      type: 'string',
      valueHint: 'FILE',
      description: 'A session of which one rack is measured as it is set.',
    },
    rack: { type: 'string', valueHint: 'ID', description: 'Id of a channel or a bus of the session, or "mix".' },
    test: { type: 'string', valueHint: 'TEST', description: 'One of those below. Default: tone.' },
    ...Object.fromEntries(
      PARAMETERS.map(({ id, label, about, unit }) => [
        id,
        { type: 'string', valueHint: unit === '' ? 'N' : unit, description: `${label}. ${about}` } as const,
      ]),
    ),
    rate: { type: 'string', valueHint: 'Hz', description: 'Sample rate. Default: 48000, or what the session says.' },
    oversampling: { type: 'string', valueHint: '4|8', description: 'Default: 4, as in listening.' },
    alignment: {
      type: 'string',
      valueHint: 'dBFS',
      description: 'Operating level, −30 to −6. Default: −18, or what the session says.',
    },
    json: { type: 'boolean', description: 'The figures as JSON, null where one is not defined.' },
  },
  more: () =>
    [
      BENCH_SILENT,
      '',
      'Tests and their parameters:',
      ...BENCH_TESTS.flatMap(({ id, about, parameters }) => ['', `${id}: ${about}`, parameterTable(parameters)]),
      '',
      'Stages and their parameters: level-best stages. JSON keys:',
      `  ${BENCH_KEYS.join(', ')},`,
      '  then foldedProducts, tones, gainDb, smallSignalGainDb, floorDbc, sampleRate, oversampling, alignmentDbfs,',
      '  matchDb, windowSamples, settledDbc, notes; sweeps add points, floor and stack a key of their name.',
    ].join('\n'),
  async run({ args, rawArgs }) {
    if (args._.length > 0) throw new UsageError(`"bench" takes no names; leave out "${args._[0]}".`);
    const test = testOf(text(args.test));
    const { document, rackId, rack, name } = rackOf(
      text(args.session),
      text(args.rack),
      repeatedOption(rawArgs, 'stage'),
    );
    const asked: SessionDocument = {
      ...document,
      sampleRate: optionalNumber('rate', args.rate) ?? document.sampleRate,
      alignmentDbfs: optionalNumber('alignment', args.alignment) ?? document.alignmentDbfs,
    };
    const oversampling = (optionalNumber('oversampling', args.oversampling) ?? 4) as 4 | 8;
    const spec = sessionBenchSpec(asked, rackId, test, valuesOf(test, args), oversampling) as BenchSpec;
    for (const warning of idleSettings(rack, name)) warn(warning);
    const result = measured(spec);
    print(args.json ? JSON.stringify(benchJson(result), null, 2) : benchSheet(result, name, spec.rack));
  },
};

function measured(spec: BenchSpec) {
  try {
    return runToEnd(new ToneBench().run(spec));
  } catch (error) {
    if (error instanceof BenchError) throw new CliError(error.message);
    throw error;
  }
}

function testOf(id = 'tone'): BenchTestId {
  const test = findBenchTest(id);
  if (test) return test.id;
  throw new UsageError(`--test must be one of ${BENCH_TESTS.map((known) => known.id).join(', ')}; it was ${id}.`);
}

function rackOf(
  session: string | undefined,
  rackId: string | undefined,
  stages: readonly string[],
): { document: SessionDocument; rackId: RackId; rack: Rack; name: string } {
  if (session === undefined) {
    if (rackId !== undefined) throw new UsageError('--rack names a rack of a session; add --session SESSION.json.');
    if (stages.length > MOST_STAGES) {
      throw new CliError(`A rack holds at most ${MOST_STAGES} stages; leave out ${stages.length - MOST_STAGES}.`);
    }
    const rack = { ...emptyRack(), stages: stages.map((stage, index) => parseStage(stage, `stage-${index + 1}`)) };
    const document: SessionDocument = { ...emptySession(48_000), mix: { rack, outputMatchDb: null } };
    return { document, rackId: MIX_ID, rack, name: 'Rack' };
  }
  if (stages.length > 0) {
    throw new UsageError('A session has racks of its own; leave out --stage, or leave out --session.');
  }
  const document = readSession(session);
  const known = rackIds(document).map((id) => (id === MIX_ID ? id : `${id} (${rackName(document, id)})`));
  if (rackId === undefined) throw new UsageError(`Say which rack: --rack with one of ${known.join(', ')}.`);
  const rack = findRack(document, rackId);
  if (!rack) throw new CliError(`The session has no rack "${rackId}"; it has ${known.join(', ')}.`);
  const name = rackName(document, rackId);
  checkRack(rack, name);
  return { document, rackId, rack, name };
}

function rackName(document: SessionDocument, id: string): string {
  return [...document.channels, ...document.buses].find((strip) => strip.id === id)?.name ?? 'Mix';
}

/** What was given of the test's parameters. Those of other tests would have no effect, so they are refused. */
function valuesOf(test: BenchTestId, args: Record<string, unknown>): Record<string, number> {
  const own = findBenchTest(test)?.parameters.map(({ id }) => id) ?? [];
  const values: Record<string, number> = {};
  for (const { id } of PARAMETERS) {
    const given = text(args[id]);
    if (given === undefined) continue;
    if (!own.includes(id)) {
      const known = own.map((other) => `--${other}`).join(', ');
      throw new UsageError(`--${id} has no effect in the test "${test}", which takes ${known}.`);
    }
    values[id] = id === 'ratio' ? ratio(given) : number(id, given);
  }
  return values;
}

/** "4" or "4:1". */
function ratio(given: string): number {
  const [upper, lower = '1', ...rest] = given.split(':');
  if (rest.length > 0)
    throw new UsageError(`--ratio must be a number or two with a colon, as in 4:1; it was ${given}.`);
  return number('ratio', upper, given) / number('ratio', lower, given);
}

function number(option: string, given = '', shown = given): number {
  const value = given.trim() === '' ? Number.NaN : Number(given.replace('−', '-'));
  if (!Number.isFinite(value)) throw new UsageError(`--${option} must be a number; it was "${shown}".`);
  return value;
}

function optionalNumber(option: string, given: unknown): number | undefined {
  const value = text(given);
  return value === undefined ? undefined : number(option, value);
}

function text(value: unknown): string | undefined {
  return typeof value === 'string' ? value : undefined;
}

function parameterTable(parameters: readonly BenchParameter[]): string {
  const rows = parameters.map(({ id, default: standard, min, max, unit }) => [
    `  ${id}`,
    signedText(standard, Number.isInteger(standard) ? 0 : 2),
    `${String(min).replace('-', '−')} to ${max}${unit === '' ? '' : ` ${unit}`}`,
  ]);
  return table([['  parameter', 'default', 'range'], ...rows]);
}

/** Keys that every bench's JSON begins with, in this order: a promise. */
const BENCH_KEYS = [
  'test',
  'fundamentalDbfs',
  'harmonics',
  'thdFPercent',
  'thdRPercent',
  'thdNPercent',
  'evenDbc',
  'oddDbc',
  'dcDbfs',
  'aliasDbc',
  'dm2Percent',
  'dm3Percent',
  'dd2Percent',
  'dd3Percent',
  'products',
] as const satisfies readonly (keyof BenchResult)[];

/** The promised keys, then the rest; what belongs to other tests is left out. */
function benchJson(result: BenchResult): Record<string, unknown> {
  const first = Object.fromEntries(BENCH_KEYS.map((key) => [key, result[key]]));
  const { points, floor, stack, ...rest } = result;
  return {
    ...first,
    ...rest,
    ...(points.length > 0 ? { points } : {}),
    ...(floor ? { floor } : {}),
    ...(stack ? { stack } : {}),
  };
}
