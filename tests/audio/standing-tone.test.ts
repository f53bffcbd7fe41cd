import { describe, expect, it } from 'vitest';
import { LiveAnalysis } from '../../src/audio/live-analysis.ts';
import { StandingTone } from '../../src/audio/standing-tone.ts';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { type AnalyserSettings, DEFAULT_ANALYSER, type LiveFrame } from '../../src/stores/live-store.ts';

const RATE = 48000;
const BLOCK = 640;
const sine = (hz: number, amplitude: number) => (t: number) => amplitude * Math.sin(2 * Math.PI * hz * t);

function heard(seconds: number, value: (t: number) => number, settings: Partial<AnalyserSettings> = {}): LiveFrame {
  const analysis = new LiveAnalysis();
  analysis.set({ ...DEFAULT_ANALYSER, ...settings });
  analysis.reset('rack');
  let frame: LiveFrame | undefined;
  for (let at = 0; at < seconds * RATE; at += BLOCK) {
    const plane = Float32Array.from({ length: BLOCK }, (_, i) => value((at + i) / RATE));
    frame = analysis.push([plane, plane, plane, plane], RATE, { at, settings: 1 });
  }
  return frame as LiveFrame;
}

describe('a tone that stands out', () => {
  it.each(['blackmanHarris4', 'hann', 'hft116d'] as const)(
    'is a sine with its harmonics and a little noise, under %s',
    (window) => {
      const random = seededRandom(4);
      const tone = (t: number) =>
        sine(441.3, 0.1)(t) + sine(882.6, 0.01)(t) + sine(1323.9, 0.005)(t) + 0.0005 * gaussian(random);
      const { standingTone } = heard(2.5, tone, { window });
      expect(standingTone?.hz).toBeCloseTo(441.3, 1);
      expect(standingTone?.dbfs).toBeCloseTo(-20, 1);
      expect(standingTone?.harmonics[0].dbc).toBeCloseTo(-20, 1);
      expect(standingTone?.harmonics[1].dbc).toBeCloseTo(20 * Math.log10(0.05), 1);
    },
  );

  it('is none of a chord, nor of two instruments, though one is 12 dB louder', () => {
    const notes = [220, 277.18, 329.63];
    const chord = heard(2.5, (t) => notes.reduce((sum, hz) => sum + sine(hz, 0.1)(t) + sine(2 * hz, 0.03)(t), 0));
    expect(chord.tone).not.toBeNull();
    expect(chord.standingTone).toBeNull();
    const two = heard(2.5, (t) => sine(220, 0.2)(t) + sine(440, 0.05)(t) + sine(311.1, 0.05)(t));
    expect(two.standingTone).toBeNull();
  });

  it('is none of noise', () => {
    const random = seededRandom(5);
    expect(heard(2.5, () => 0.1 * gaussian(random)).standingTone).toBeNull();
  });
});

describe('what is shown of it', () => {
  const tone = (hz: number) => ({ hz, dbfs: -20, harmonics: [] });
  const out = { prominenceDb: 30, restDb: -25 };
  const crowd = { prominenceDb: 3, restDb: -2 };
  const run = (held: StandingTone, seconds: number, hz: number, how: typeof out) => {
    let shown: { hz: number } | null = null;
    for (let at = 0; at < seconds; at += 0.05) shown = held.take(tone(hz), how, 0.05);
    return shown?.hz ?? null;
  };

  it('comes after half a second, stays over a short crowd and goes after a second of it', () => {
    const held = new StandingTone();
    expect(run(held, 0.4, 220, out)).toBeNull();
    expect(run(held, 0.3, 220, out)).toBe(220);
    expect(run(held, 0.6, 333, crowd)).toBe(220);
    expect(run(held, 0.1, 220, out)).toBe(220);
    expect(run(held, 1.2, 333, crowd)).toBeNull();
  });

  it('goes over to another tone only when that one stays', () => {
    const held = new StandingTone();
    run(held, 1, 220, out);
    for (let i = 0; i < 8; i++) expect(run(held, 0.1, i % 2 ? 330 : 250, out)).toBe(220);
    expect(run(held, 0.6, 330, out)).toBe(330);
  });
});
