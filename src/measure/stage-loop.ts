/**
 * What a stage with memory (emphasis, a circuit's own) does at one frequency: output against input over a period, a loop where a curve
 * would be for a stage without.
 */
import { dbToGain } from '../dsp/units.ts';
import type { RackConfig, StageConfig } from '../engine/config.ts';
import { toNumber } from '../engine/parameters.ts';
import { findStageKind } from '../engine/stages/catalogue.ts';
import type { Planes, RackRenderer } from '../render/rack-renderer.ts';
import type { Stage } from '../session/document.ts';
import type { StageLoop } from './figures.ts';
import { strongestFrequency, WINDOW_SAMPLES } from './strongest-frequency.ts';

const POINTS = 192;
/** Sound before the points are taken: the over-sampling is filled, and AC coupling has little to do without DC. */
const SETTLE_SECONDS = 0.25;

/** True for a stage whose output depends on more than the input of the same moment. */
export function hasMemory(stage: Stage): boolean {
  return (typeof stage.params.tilt === 'number' && stage.params.tilt !== 0) || settleOf(stage) > 0;
}

function settleOf({ kind, params }: Stage): number {
  const found = findStageKind(kind);
  const values = found?.parameters.map((parameter) => toNumber(parameter, params[parameter.id]));
  return values ? (found?.settleSeconds(values) ?? 0) : 0;
}

/**
 * Measures the loop at the strongest frequency of the programme at the stage's input, with a sine at the alignment level
 * there. Points are of the curve's own input (after trim in) and output (before trim out), sorted by phase. Null where
 * the programme has no tone.
 */
export function* stageLoop(
  renderer: RackRenderer,
  stage: Stage,
  config: StageConfig,
  programme: Planes,
  sampleRate: number,
  alignmentDbfs: number,
): Generator<void, StageLoop | null> {
  if (programme[0].length < WINDOW_SAMPLES) return null;
  const hz = strongestFrequency(programme[0], sampleRate);
  if (hz === null) return null;
  const db = (id: string) => (typeof stage.params[id] === 'number' ? (stage.params[id] as number) : 0);
  const trimIn = dbToGain(db('trimIn'));
  const trimOut = dbToGain(db('trimOut')) * (stage.params.polarity === 'inverted' ? -1 : 1);
  const amplitude = dbToGain(alignmentDbfs);
  const settle = Math.round((SETTLE_SECONDS + settleOf(stage)) * sampleRate);
  const tone = Float32Array.from(
    { length: settle + POINTS + 256 },
    (_, i) => amplitude * Math.sin((2 * Math.PI * hz * i) / sampleRate),
  );
  // One tone on both channels has no side.
  const rack: RackConfig = { on: true, match: 1, stages: [leftAndRight(config)] };
  const [output] = yield* renderer.render(rack, [tone]);
  const order = Array.from({ length: POINTS }, (_, i) => settle + i).sort(
    (a, b) => (((a * hz) / sampleRate) % 1) - (((b * hz) / sampleRate) % 1),
  );
  return {
    hz,
    x: Float64Array.from(order, (i) => trimIn * tone[i]),
    y: Float64Array.from(order, (i) => output[i] / trimOut),
  };
}

function leftAndRight(config: StageConfig): StageConfig {
  const stereo = findStageKind(config.kind)?.at.stereo;
  return stereo === undefined ? config : { ...config, values: config.values.map((v, i) => (i === stereo ? 0 : v)) };
}
