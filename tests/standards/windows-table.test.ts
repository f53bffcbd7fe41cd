/**
 * Windows against published figures: Harris 1978, Table I; Heinzel, Rüdiger and Schilling 2002, Appendix C;
 * Nuttall 1981; Albrecht 2001. Size 4096, periodic.
 */
import { describe, expect, it } from 'vitest';
import { SpectrumAnalyser } from '../../src/dsp/spectrum.ts';
import { coherentGain, enbw, mainLobeBins, makeWindow, type WindowName } from '../../src/dsp/windows.ts';
import { near } from './report.ts';

const SIZE = 4096;

interface Row {
  readonly name: WindowName;
  readonly enbw: number;
  /** Reading of a tone half a bin off, in dB; HFT95 errs most elsewhere, so its largest error is given instead. */
  readonly halfBin: number | null;
  readonly sidelobe: number;
}

const TABLE: readonly Row[] = [
  { name: 'hann', enbw: 1.5, halfBin: -1.4236, sidelobe: -31.47 },
  { name: 'blackmanHarris4', enbw: 2.0044, halfBin: -0.8256, sidelobe: -92.01 },
  { name: 'nuttall4c', enbw: 1.9761, halfBin: -0.8506, sidelobe: -98.17 },
  { name: 'iso18431FlatTop', enbw: 3.7709, halfBin: -0.009, sidelobe: -83.93 },
  { name: 'hft95', enbw: 3.8112, halfBin: null, sidelobe: -95.0 },
  { name: 'hft116d', enbw: 4.2186, halfBin: -0.0028, sidelobe: -116.8 },
  { name: 'hft144d', enbw: 4.5386, halfBin: -0.0021, sidelobe: -144.05 },
];

/** |Σ w·e^(−j2πfi/n)| / Σw in dB, f in bins. */
function response(window: Float64Array, bins: number): number {
  let re = 0;
  let im = 0;
  let sum = 0;
  for (let i = 0; i < window.length; i++) {
    const angle = (2 * Math.PI * bins * i) / window.length;
    re += window[i] * Math.cos(angle);
    im += window[i] * Math.sin(angle);
    sum += window[i];
  }
  return 20 * Math.log10(Math.hypot(re, im) / sum);
}

/** Highest lobe beyond the main one, on a grid of a fiftieth of a bin, within the first dozen lobes. */
function highestSidelobe(name: WindowName): number {
  const window = makeWindow(name, SIZE);
  let highest = -Infinity;
  for (let bins = mainLobeBins(name); bins < mainLobeBins(name) + 12; bins += 0.02) {
    highest = Math.max(highest, response(window, bins));
  }
  return highest;
}

for (const row of TABLE) {
  describe(row.name, () => {
    const window = makeWindow(row.name, SIZE);

    it(`has a noise bandwidth of ${row.enbw} bins`, () => near(enbw(window), row.enbw, 1e-4));

    it(`has its highest sidelobe at ${row.sidelobe} dB`, () => near(highestSidelobe(row.name), row.sidelobe, 0.06));

    it('reads a tone half a bin off as the table says', () => {
      if (row.halfBin !== null) near(response(window, 0.5), row.halfBin, 1e-3);
      else {
        const errors = Array.from({ length: 51 }, (_, i) => Math.abs(response(window, i / 100)));
        near(Math.max(...errors), 0.0044, 1e-4);
      }
    });

    it('is calibrated in the analyser: peak level on a bin, table value half a bin off', () => {
      const analyser = new SpectrumAnalyser(SIZE, row.name, SIZE);
      const level = (bins: number) => {
        analyser.push(Float64Array.from({ length: SIZE }, (_, i) => 0.5 * Math.sin((2 * Math.PI * bins * i) / SIZE)));
        return 10 * Math.log10(Math.max(...analyser.power)) - 20 * Math.log10(0.5);
      };
      near(level(500), 0, 1e-9);
      near(level(500.5), response(window, 0.5), 1e-3);
    });
  });
}

describe('blackmanHarris7', () => {
  it('keeps its sidelobes below −180 dB at a noise bandwidth of 2.63 bins', () => {
    expect(highestSidelobe('blackmanHarris7')).toBeLessThan(-180);
    near(enbw(makeWindow('blackmanHarris7', SIZE)), 2.632, 1e-3);
    near(coherentGain(makeWindow('blackmanHarris7', SIZE)), 0.27105140069342, 1e-12);
  });
});
