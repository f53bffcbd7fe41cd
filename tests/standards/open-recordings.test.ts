/**
 * Our meters against two others on open recordings: ffmpeg's ebur128 filter (separate code) and ebur128-wasm (a port
 * of the reference library). Integrated ±0.05 LU, true peak ±0.15 dB: the meters' interpolation filters differ.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import { LoudnessMeter, measureLoudness } from '../../src/dsp/loudness.ts';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { truePeak } from '../../src/dsp/true-peak.ts';
import { type Ebur128, loadEbur128 } from '../support/oracle-ebur128.ts';
import { decodeToFloat, ebur128, findFfmpeg, type Recording } from '../support/oracle-ffmpeg.ts';
import { openRecordings } from '../support/recordings.ts';
import { near, note } from './report.ts';
import { programme } from './tone-programmes.ts';

const noFfmpeg = findFfmpeg() === null;
const LU = 0.05;
const DB = 0.15;

let library: Ebur128;
beforeAll(async () => {
  library = await loadEbur128();
});

function compare(name: string, { channels, sampleRate }: Recording, withFfmpeg: boolean): void {
  const ours = measureLoudness(channels, sampleRate).integratedLufs as number;
  const peak = truePeak(channels, sampleRate).dbtp;
  const theirs = { lufs: library.integrated(channels, sampleRate), dbtp: library.truePeak(channels, sampleRate) };
  near(ours, theirs.lufs, LU, `${name}: integrated against ebur128-wasm`);
  near(peak, theirs.dbtp, DB, `${name}: true peak against ebur128-wasm`);
  let line = `${name}: I ${ours.toFixed(3)} (wasm ${theirs.lufs.toFixed(3)}), TP ${peak.toFixed(3)} (wasm ${theirs.dbtp.toFixed(3)})`;
  if (withFfmpeg) {
    const ffmpeg = ebur128({ channels, sampleRate });
    near(ours, ffmpeg.integratedLufs, LU, `${name}: integrated against ffmpeg`);
    near(peak, ffmpeg.truePeakDbtp, DB, `${name}: true peak against ffmpeg`);
    line += `; ffmpeg I ${ffmpeg.integratedLufs}, TP ${ffmpeg.truePeakDbtp}`;
  }
  note(line);
}

describe('open recordings', () => {
  for (const { name, path, licence, available } of openRecordings()) {
    it.skipIf(noFfmpeg || !available)(`${name} (${licence})`, () => compare(name, decodeToFloat(path), true));
  }

  it('has the piano recordings, which come with the packages', () => {
    const piano = openRecordings().filter(({ name }) => name.startsWith('piano'));
    expect(piano.map(({ available }) => available)).toEqual([true, true, true]);
  });
});

describe('made signals', () => {
  it('997 Hz at −23 dBFS', () => {
    const tone = programme([[20, -23]], 48_000, 997);
    near(measureLoudness([tone, tone], 48_000).integratedLufs, library.integrated([tone, tone], 48_000), 1e-4);
    compare('997 Hz', { channels: [tone, tone], sampleRate: 48_000 }, !noFfmpeg);
  });

  for (const sampleRate of [44_100, 48_000, 96_000]) {
    it(`swelling noise at ${sampleRate} Hz, left and right apart`, () => {
      const random = seededRandom(sampleRate);
      const swell = (rate: number) => {
        let low = 0;
        return Float32Array.from({ length: 15 * sampleRate }, (_, i) => {
          low += 0.4 * (gaussian(random) - low);
          return 0.1 * low * (1 + Math.sin((2 * Math.PI * rate * i) / sampleRate)) ** 2;
        });
      };
      // ffmpeg measures after resampling to 48 kHz, so only that rate compares filters.
      compare(
        `noise at ${sampleRate} Hz`,
        { channels: [swell(0.2), swell(0.13)], sampleRate },
        !noFfmpeg && sampleRate === 48_000,
      );
    });
  }

  it.skipIf(noFfmpeg)('maxima and loudness range of swelling noise, against ffmpeg', () => {
    const random = seededRandom(3);
    const noise = Float32Array.from({ length: 70 * 48_000 }, (_, i) => {
      return 0.3 * gaussian(random) * 10 ** (-(1 + Math.sin((2 * Math.PI * i) / (48_000 * 17))) / 2);
    });
    // The range is taken without the silence that files get at their end: ffmpeg doesn't add it.
    const meter = new LoudnessMeter(48_000, 2);
    meter.process([noise, noise]);
    const theirs = ebur128({ channels: [noise, noise], sampleRate: 48_000 });
    near(meter.loudnessRange(), theirs.loudnessRangeLu, 0.1, 'LRA');
    // ffmpeg looks every 100 ms, we look every 10 ms: ours may find more.
    near(meter.maxShortTerm, theirs.maxShortTermLufs, 0.1, 'S');
    near(meter.maxMomentary, theirs.maxMomentaryLufs, 0.25, 'M');
    note(
      `LRA ${meter.loudnessRange()?.toFixed(2)} (ffmpeg ${theirs.loudnessRangeLu}), S ${meter.maxShortTerm.toFixed(2)} (${theirs.maxShortTermLufs}), M ${meter.maxMomentary.toFixed(2)} (${theirs.maxMomentaryLufs})`,
    );
  });
});
