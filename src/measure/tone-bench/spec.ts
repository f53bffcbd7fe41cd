/**
 * The tests of the tone bench and their parameters, declared once: the command line, the panel, the checks of what was
 * asked for and the documentation all read this.
 */

import type { Hertz } from '../../dsp/units.ts';
import type { RackConfig } from '../../engine/config.ts';
import type { ContinuousParameter } from '../../engine/parameters.ts';

export type BenchTestId = 'tone' | 'level-sweep' | 'frequency-sweep' | 'smpte' | 'difference' | 'floor' | 'stack';

type Common = 'id' | 'label' | 'about' | 'min' | 'max' | 'default' | 'taper' | 'step' | 'digits';

/** As of a stage's parameter, but for its unit. */
export interface BenchParameter extends Pick<ContinuousParameter, Common> {
  readonly unit: 'Hz' | 'dBFS' | 'dB' | '';
}

export interface BenchTest {
  readonly id: BenchTestId;
  readonly label: string;
  readonly about: string;
  readonly parameters: readonly BenchParameter[];
}

/** What the bench is asked to do. Plain data. */
export interface BenchSpec {
  readonly test: BenchTestId;
  readonly rack: RackConfig;
  readonly sampleRate: Hertz;
  readonly oversampling: 4 | 8;
  /** Level of a sine that counts as the operating level of the rack's stages, dBFS. */
  readonly alignmentDbfs: number;
  /** By parameter id; what isn't given has its default. */
  readonly values: Readonly<Record<string, number>>;
}

/** Stands beside the bench wherever it is offered. */
export const BENCH_SILENT =
  'The bench is silent: its signals go through the rack as numbers, and nothing of them is played. ' +
  'Should you play such tones yourself, turn the level down first: steady tones damage hearing and tweeters.';

const hertz = (id: string, label: string, about: string, standard: number): BenchParameter => ({
  id,
  label,
  about,
  unit: 'Hz',
  min: 10,
  max: 90_000,
  default: standard,
  taper: 'log',
  step: 0.02,
  digits: 0,
});

const dbfs = (id: string, label: string, about: string, standard: number): BenchParameter => ({
  id,
  label,
  about,
  unit: 'dBFS',
  min: -100,
  max: 12,
  default: standard,
  taper: 'linear',
  step: 1,
  digits: 1,
});

const frequency = hertz('frequency', 'Frequency', 'Of the tone; taken to the next one that fits the window.', 997);
const level = dbfs('level', 'Level', 'Peak of the sine (AES17: full scale is 0 dBFS), or of the sum of two.', -18);
const lower = (standard: number) => hertz('f1', 'Lower tone', 'Taken to the next frequency that fits.', standard);
const upper = (standard: number) =>
  hertz('f2', 'Upper tone', 'Taken to the next frequency that fits; products are told against it.', standard);
const ratio = (standard: number): BenchParameter => ({
  id: 'ratio',
  label: 'Ratio',
  about: 'Amplitude of the lower tone over that of the upper one.',
  unit: '',
  min: 0.01,
  max: 100,
  default: standard,
  taper: 'log',
  step: 0.05,
  digits: 2,
});

export const BENCH_TESTS: readonly BenchTest[] = [
  {
    id: 'tone',
    label: 'Tone',
    about: 'One sine: harmonics with their phase, THD, THD+N, DC, aliases, gain.',
    parameters: [frequency, level],
  },
  {
    id: 'level-sweep',
    label: 'Level sweep',
    about: 'THD and each harmonic against the level of a sine.',
    parameters: [
      frequency,
      dbfs('from', 'From', 'Lowest level.', -60),
      dbfs('to', 'To', 'Highest level.', 0),
      {
        id: 'step',
        label: 'Step',
        about: 'From one level to the next.',
        unit: 'dB',
        min: 0.5,
        max: 24,
        default: 2,
        taper: 'linear',
        step: 0.5,
        digits: 1,
      },
    ],
  },
  {
    id: 'frequency-sweep',
    label: 'Frequency sweep',
    about: 'THD and each harmonic against the frequency of a sine.',
    parameters: [
      level,
      hertz('lowest', 'Lowest', 'Frequency of the first tone.', 20),
      hertz('highest', 'Highest', 'Frequency of the last tone.', 20_000),
      {
        id: 'points',
        label: 'Points',
        about: 'Tones per octave.',
        unit: '',
        min: 1,
        max: 12,
        default: 3,
        taper: 'linear',
        step: 1,
        digits: 0,
      },
    ],
  },
  {
    id: 'smpte',
    label: 'SMPTE intermodulation',
    about: 'A low and a high tone, 4:1: the sidebands of the high one (d_m2, d_m3).',
    parameters: [lower(60), upper(7000), ratio(4), level],
  },
  {
    id: 'difference',
    label: 'Difference tones',
    about: 'Two high tones, 1:1: what falls between and below them (d_d2, d_d3).',
    parameters: [lower(19_000), upper(20_000), ratio(1), level],
  },
  {
    id: 'floor',
    label: 'Floor',
    about: 'Silence, a weak sine, and sines up to 10 kHz at the operating level: DC, noise and aliases.',
    parameters: [frequency, { ...level, default: -60 }],
  },
  {
    id: 'stack',
    label: 'Stack',
    about: 'Products after each stage, the same drive in one stage, and what two inputs do to each other.',
    parameters: [lower(220), upper(1250), ratio(1), level, frequency],
  },
];

export function findBenchTest(id: string): BenchTest | undefined {
  return BENCH_TESTS.find((test) => test.id === id);
}

/** Every parameter of the test, with defaults filled in. */
export function benchValues({ test, values }: Pick<BenchSpec, 'test' | 'values'>): Record<string, number> {
  const parameters = findBenchTest(test)?.parameters ?? [];
  return Object.fromEntries(parameters.map((parameter) => [parameter.id, values[parameter.id] ?? parameter.default]));
}
