/** Racks for typical jobs, all of them mild, to begin with; `tests/measure/starting-points.test.ts` measures each. */
import type { NamedRack } from './rack-file.ts';
import type { Stage } from './schema.ts';

export interface StartingPoint extends NamedRack {
  readonly id: string;
}

function point(id: string, name: string, about: string, ...stages: readonly Omit<Stage, 'id' | 'on' | 'notes'>[]) {
  return {
    id,
    name,
    about,
    stages: stages.map((stage, i) => ({ id: `${id}-${i + 1}`, on: true, notes: '', ...stage })),
  };
}

/** In the order of the list: from single microphones to the mix. */
export const STARTING_POINTS: readonly StartingPoint[] = [
  point(
    'rounded-hits',
    'Rounded hits',
    'For drums and plucked strings: bends the tips of loud hits, which leaves room for whatever limits later.',
    { kind: 'soft-clip', params: { curve: 'algebraic', knee: 2.5, drive: -5 } },
  ),
  point(
    'fuller-lead',
    'Fuller lead',
    'For one voice or instrument that is thin: mostly second harmonic, more of it the louder it gets.',
    { kind: 'triode', params: { drive: -6 } },
  ),
  point(
    'low-weight',
    'Weight under low notes',
    'For bass and drums: the lower a note, the more harmonics it gets, as iron gives them; what lies above stays clean.',
    { kind: 'transformer', params: { drive: 0 } },
  ),
  point(
    'audible-bass',
    'Bass on small speakers',
    'Colours only what lies below 180 Hz, so that its harmonics are heard where the notes themselves are not.',
    { kind: 'soft-clip', params: { drive: -12, bias: 25, band: 'between', bandFrom: 30, bandTo: 180 } },
  ),
  point(
    'clear-edge',
    'Clear edge',
    'For dull recordings: a little second and third harmonic of what lies above 3 kHz, nothing of the rest.',
    { kind: 'harmonic-set', params: { drive: -4, h2: -42, h3: -48, band: 'between', bandFrom: 3000, bandTo: 12000 } },
  ),
  point(
    'near-and-still',
    'Forward middle',
    'For a stereo bus: colours what is alike on both sides, and leaves the width as it was recorded.',
    { kind: 'soft-clip', params: { curve: 'arctangent', drive: -10, bias: 15, stereo: 'middle' } },
  ),
  point(
    'firm-bus',
    'Firm bus',
    'For a bus that should hold together when it is loud: two valves in opposition, a little unlike, on a supply that sags.',
    { kind: 'push-pull-pair', params: { drive: -5, uneven: 8 } },
  ),
  point(
    'soft-treble',
    'Sharp edges off',
    'For a mix or drums whose peaks are sharp: tape at 15 inches a second rounds them, the treble most of all.',
    { kind: 'tape', params: { drive: -5 } },
  ),
  point(
    'two-in-a-row',
    'Two in a row for a bus',
    'Two gentle stages bend what they share, and each the products of the other: more than one stage of the same amount.',
    { kind: 'triode', params: { drive: -8 } },
    { kind: 'soft-clip', params: { drive: -9 } },
  ),
];
