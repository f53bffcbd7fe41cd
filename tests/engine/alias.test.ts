/**
 * Alias of three stages in one rack, 10 % THD_F in all, at 4×: the sum of everything below 20 kHz that is no harmonic,
 * against the fundamental. The limits are the project's own: −120 dBc for smooth curves and knees up to 2, −90 for
 * sharper ones, −80 for the hard clip. `npm run bench` prints the whole table.
 */
import { describe, expect, it } from 'vitest';
import { chainAlias } from '../support/chain-alias.ts';
import { chordAlias } from '../support/chord-alias.ts';
import { stage } from '../support/rig.ts';
import { steadyTone } from '../support/steady-tone.ts';

const algebraic = (knee: number) => ({ curve: 'algebraic', knee });

describe('alias of three stages at 10 % THD', () => {
  it.each([
    ['tanh', {}, -125],
    ['arctangent', { curve: 'arctangent' }, -125],
    ['cubic', { curve: 'cubic' }, -125],
    ['algebraic, p = 1,', algebraic(1), -120],
    ['algebraic, p = 1.2,', algebraic(1.2), -125],
    ['algebraic, p = 1.5,', algebraic(1.5), -125],
    ['algebraic, p = 1.9,', algebraic(1.9), -125],
    ['algebraic, p = 2,', algebraic(2), -125],
    ['algebraic, p = 3,', algebraic(3), -120],
    ['algebraic, p = 6,', algebraic(6), -120],
    ['algebraic, p = 20,', algebraic(20), -120],
    ['algebraic, p = 60,', algebraic(60), -90],
    ['hard clip', algebraic(100), -80],
    ['tanh biased 30 %', { bias: 30 }, -120],
    ['algebraic, p = 1, biased 30 %', { ...algebraic(1), bias: 30 }, -110],
    ['algebraic, p = 1.5, biased 30 %', { ...algebraic(1.5), bias: 30 }, -110],
    ['algebraic, p = 6, biased 30 %', { ...algebraic(6), bias: 30 }, -110],
    ['hard clip biased 30 %', { ...algebraic(100), bias: 30 }, -80],
  ] as const)('%s', (_, params, limit) => {
    for (const frequency of [1245, 4987, 9970]) {
      const alias = chainAlias('soft-clip', params, frequency, { size: 16384 });
      expect(alias, `${frequency} Hz`).toBeLessThan(limit);
    }
  });

  it.each([
    ['harmonic-set', { h2: -100, h3: -30 }],
    ['diode-pair', {}],
  ] as const)('%s', (kind, params) => {
    for (const frequency of [1245, 4987, 9970]) {
      expect(chainAlias(kind, params, frequency, { size: 16384 }), `${frequency} Hz`).toBeLessThan(-90);
    }
  });
});

describe('alias of one stage at its defaults', () => {
  it.each([44_100, 48_000, 96_000])('at %i Hz: single tones', (sampleRate) => {
    for (const kind of ['soft-clip', 'diode-pair']) {
      for (const frequency of [1245, 8150, 9970]) {
        const tone = steadyTone([stage(kind, { coupling: 'dc' })], { frequency, sampleRate, size: 16384 });
        expect(tone.aliasDbc, `${kind}, ${frequency} Hz`).toBeLessThan(-125);
      }
    }
  });

  it.each([44_100, 48_000, 96_000])('at %i Hz: 31 tones up to 20 kHz', (sampleRate) => {
    for (const kind of ['soft-clip', 'diode-pair']) {
      expect(chordAlias([stage(kind, { coupling: 'dc' })], { sampleRate, size: 16384 }), kind).toBeLessThan(-115);
    }
  });

  it('leaves no image of 20 kHz at 44.1 kHz that a hard clip could mix down', () => {
    const clip = stage('soft-clip', { curve: 'algebraic', knee: 100, drive: 6, coupling: 'dc' });
    const { aliasDbc } = steadyTone([clip], { frequency: 20_002, sampleRate: 44_100, size: 16384 });
    expect(aliasDbc).toBeLessThan(-85);
  });
});
