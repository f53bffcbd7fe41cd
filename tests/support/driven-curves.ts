/** Every curve there is, driven as hard as the controls allow, for the alias tests and the bench. */
import type { StageConfig } from '../../src/engine/config.ts';
import { stage } from './rig.ts';
import { steadyTone } from './steady-tone.ts';

type Params = Record<string, number | string>;

const algebraic = (knee: number): Params => ({ curve: 'algebraic', knee });
const hot = Object.fromEntries([2, 3, 4, 5, 6, 7].map((n) => [`h${n}`, -20]));

/** Curves by name: the kind, and what is set besides its defaults. */
export const drivenCurves: readonly (readonly [string, string, Params])[] = [
  ['tanh', 'soft-clip', {}],
  ['tanh, bias 30 %', 'soft-clip', { bias: 30 }],
  ['arctangent', 'soft-clip', { curve: 'arctangent' }],
  ['cubic', 'soft-clip', { curve: 'cubic' }],
  ['cubic, bias 50 %', 'soft-clip', { curve: 'cubic', bias: 50 }],
  ...[1, 1.2, 1.5, 2, 3, 6, 20, 60].map((p) => [`algebraic, p = ${p}`, 'soft-clip', algebraic(p)] as const),
  ['hard clip', 'soft-clip', algebraic(100)],
  ['harmonic set', 'harmonic-set', {}],
  ['harmonic set, all at −20', 'harmonic-set', hot],
  ['diode pair', 'diode-pair', {}],
  ['diode pair, 4 and 1', 'diode-pair', { up: '4', down: '1' }],
  ['diode pair, 47 kΩ, 200 nA', 'diode-pair', { resistance: 47, saturation: 200 }],
];

/** Tones up to 10 kHz, Hz, whose harmonics fold to different places at 44.1, 48 and 96 kHz. */
export const DRIVEN_TONES = [1245, 4987, 7013, 8150, 9970] as const;

/** One stage of it, DC coupled: the tail of the coupling's own transient would read as alias. */
export function drivenStage(kind: string, params: Params, drive: number): StageConfig {
  return stage(kind, { ...params, drive, coupling: 'dc' });
}

/** The largest alias of the tones, dBc, and whose it is. */
export function worstAlias(
  stages: StageConfig[],
  options: { sampleRate: number; dbfs: number; size?: number; tones?: readonly number[] },
): { dbc: number; frequency: number } {
  let worst = { dbc: Number.NEGATIVE_INFINITY, frequency: 0 };
  for (const frequency of options.tones ?? DRIVEN_TONES) {
    const dbc = steadyTone(stages, { ...options, frequency, size: options.size ?? 16384 }).aliasDbc;
    if ((dbc ?? Number.NEGATIVE_INFINITY) > worst.dbc) worst = { dbc: dbc ?? 0, frequency };
  }
  return worst;
}
