/**
 * The amount of a new stage: what its drive is chosen by (a distribution of amplitudes) against what is measured of the
 * rendered sound (`addedPercent`, checked by itself in added-share.test.ts), on the demo and on open recordings.
 */
import { describe, expect, it } from 'vitest';
import { truePeak } from '../../src/dsp/true-peak.ts';
import { defaultValues, USUAL_TONE_HZ } from '../../src/engine/parameters.ts';
import { findStageKind, stageKinds } from '../../src/engine/stages/catalogue.ts';
import { addedPercent } from '../../src/measure/added-share.ts';
import { alignmentTrims } from '../../src/measure/alignment.ts';
import { AMPLITUDE_BINS, amplitudes } from '../../src/measure/amplitudes.ts';
import { addedShare, driveFor, GENTLE_SHARE } from '../../src/measure/stage-amount.ts';
import { rackConfig } from '../../src/render/engine-config.ts';
import { RackRenderer } from '../../src/render/rack-renderer.ts';
import { runToEnd } from '../../src/render/run-steps.ts';
import type { Stage } from '../../src/session/document.ts';
import { emptyRack, newStage } from '../../src/session/document.ts';
import { demoRecordings } from '../support/demo-recordings.ts';
import { realRecording, recordingNames } from '../support/real-recordings.ts';

const ALIGNMENT = -18;
const SECONDS = 5;
const kindIds = stageKinds.map(({ id }) => id);

function stage(kindId: string, params: Record<string, number | string> = {}): Stage {
  const kind = findStageKind(kindId);
  if (!kind) throw new Error(kindId);
  return newStage('new', kindId, { ...defaultValues(kind.parameters), ...params });
}

function render(planes: readonly Float32Array[], sampleRate: number, stages: readonly Stage[]): Float32Array[] {
  const config = rackConfig({ ...emptyRack(), stages: [...stages] }, false);
  return runToEnd(new RackRenderer(sampleRate, 4, ALIGNMENT).render(config, planes));
}

const sine = (peak: number, length = 48000) =>
  Float32Array.from({ length }, (_, i) => peak * Math.sin((2 * Math.PI * 997 * i) / 48000));

describe('amplitudes', () => {
  it('are counted within 1/32 of their size, with their sign; silence and what is no number are not', () => {
    const sound = Float32Array.of(0.5, -0.25, 0.999, 1e-5, 0, NaN, Infinity);
    const counts = amplitudes([sound]);
    const found = [...counts.keys()].filter((bin) => counts[bin] > 0).map((bin) => AMPLITUDE_BINS[bin]);
    expect(found).toHaveLength(4);
    for (const size of [0.5, -0.25, 0.999, 1e-5]) {
      expect(found.some((middle) => Math.abs(middle / size - 1) <= 1 / 32)).toBe(true);
    }
  });
});

describe('the share that a stage adds', () => {
  it('of a sine at the alignment level and 0 dB of drive is its calibration, 1 % THD', () => {
    const programme = amplitudes([sine(10 ** (ALIGNMENT / 20))]);
    // A soft clip's harmonics are odd: none of them is DC, which a share leaves out.
    expect(addedShare(stage('soft-clip'), programme, ALIGNMENT)).toBeCloseTo(0.01, 3);
  });

  it('is not defined for silence, and then no drive is chosen', () => {
    const silence = amplitudes([new Float32Array(4800)]);
    expect(addedShare(stage('soft-clip'), silence, ALIGNMENT)).toBeNull();
    expect(driveFor(stage('soft-clip'), silence, ALIGNMENT)).toBeNull();
  });

  it('stays at the end of the range where a programme is too quiet for more', () => {
    const found = driveFor(stage('soft-clip'), amplitudes([sine(1e-4)]), ALIGNMENT);
    expect(found?.driveDb).toBe(24);
    expect(found?.share).toBeLessThan(GENTLE_SHARE / 10);
  });
});

const figures: string[] = [];
const recordings = [...recordingNames().map(realRecording), ...(await demoRecordings())];

describe.each(recordings.map((recording) => [recording.name, recording] as const))('%s', (name, recording) => {
  const { sampleRate } = recording;
  const planes = recording.planes.map((plane) => plane.subarray(0, SECONDS * sampleRate));
  const programme = amplitudes(planes);

  it.each(kindIds)('gets a %s that adds about 1 % and takes little off the peaks', (kindId) => {
    const found = driveFor(stage(kindId), programme, ALIGNMENT);
    if (!found) throw new Error('no drive');
    const output = render(planes, sampleRate, [stage(kindId, { drive: found.driveDb })]);
    const measured = runToEnd(addedPercent(planes, output)) ?? 0;
    const peakDb = truePeak(output, sampleRate).dbtp - truePeak(planes, sampleRate).dbtp;
    figures.push(
      `${name.padEnd(14)} ${kindId.padEnd(12)} drive ${found.driveDb.toFixed(1).padStart(6)} dB: ${measured.toFixed(2)} % added, peaks ${peakDb.toFixed(2)} dB`,
    );
    // What is measured leaves out what any linear filter explains, so it reads lower: least where steady tones stand,
    // whose harmonics fall on partials that are there already.
    // A kind that bends the lows adds as much only where all of the sound is there; elsewhere the amount is the most it can.
    const isEven = findStageKind(kindId)?.circuits.every(({ toneHz }) => toneHz === USUAL_TONE_HZ);
    if (isEven) expect(measured).toBeGreaterThan(0.25);
    expect(measured).toBeLessThan(1.6);
    expect(peakDb).toBeGreaterThan(-2.5);
  });

  it('is set to alignment without taking much off the peaks at once', () => {
    // Three kinds in a row, others for each recording, so that all have their turn.
    const first = recordings.indexOf(recording);
    const three = [0, 1, 2].map((i) => kindIds[(first + i) % kindIds.length]);
    const stages = three.map((kindId, i) => ({ ...stage(kindId), id: `s${i}` }));
    const rack = { ...emptyRack(), stages };
    const renderer = new RackRenderer(sampleRate, 4, ALIGNMENT);
    const before = truePeak(render(planes, sampleRate, stages), sampleRate).dbtp;
    const trims = runToEnd(alignmentTrims(renderer, rack, planes, sampleRate, ALIGNMENT)) ?? [];
    const set = stages.map((one) => {
      const { trimIn, trimOut, driveDb } = trims.find(({ stageId }) => stageId === one.id) as (typeof trims)[number];
      return { ...one, params: { ...one.params, trimIn, trimOut, ...(driveDb === null ? {} : { drive: driveDb }) } };
    });
    const after = truePeak(render(planes, sampleRate, set), sampleRate).dbtp;
    const drives = trims.map(({ driveDb }) => driveDb ?? 0).join(', ');
    figures.push(`${name.padEnd(14)} set to alignment: drives ${drives}, peaks ${(after - before).toFixed(2)} dB`);
    expect(after - before).toBeGreaterThan(-1);
  });
});

it('prints its figures', () => {
  console.log(figures.join('\n'));
  expect(figures.length).toBe(recordings.length * (kindIds.length + 1));
});
