/**
 * What a stage's drive of version 3 is from version 4 on. There 0 dB was 1 % THD at a kind's defaults only (a knee of 2,
 * one diode a side, 2.2 kΩ, 2.52 nA); since then it is 1 % THD for the shape as set. The curves and the solving stand here
 * as they were then, and stay so whatever the engine does: a migration that was released never changes.
 */
import { gainToDb } from '../dsp/units.ts';

type Curve = (u: number) => number;
type Params = Readonly<Record<string, unknown>>;

const DRIVE_DB = 24;
const POINTS = 512;
const HIGHEST = 20;
const HARD_KNEE = 100;
const DEFAULT_KNEE = 2;
const DEFAULT_DIODES = { up: 1, down: 1, resistance: 2.2, saturation: 2.52 };

const COSINE = Float64Array.from({ length: 2 * POINTS }, (_, k) => Math.cos((Math.PI * k) / POINTS));

/** The parameters with the drive that sounds as before. What a drive can't take goes to the trims, which do the same. */
export function withShapeDrive(kind: string, params: Params): Params {
  const moved = shapeOffsetDb(kind, params);
  if (moved === 0) return params;
  const drive = millionths(numberOr(params.drive, 0) + moved);
  const within = limited(drive);
  const rest = millionths(drive - within);
  if (rest === 0) return { ...params, drive };
  return {
    ...params,
    drive: within,
    trimIn: limited(numberOr(params.trimIn, 0) + rest),
    trimOut: limited(numberOr(params.trimOut, 0) - rest),
  };
}

/** What is to be added to the drive, dB; 0 for shapes that were calibrated as they were. */
function shapeOffsetDb(kind: string, params: Params): number {
  if (kind === 'soft-clip' && params.curve === 'algebraic') {
    const knee = numberOr(params.knee, DEFAULT_KNEE);
    if (knee === DEFAULT_KNEE) return 0;
    return gainToDb(
      onePercent(`knee ${DEFAULT_KNEE}`, kneeCurve(DEFAULT_KNEE)) / onePercent(`knee ${knee}`, kneeCurve(knee)),
    );
  }
  if (kind !== 'diode-pair') return 0;
  const set = {
    up: countOf(params.up),
    down: countOf(params.down),
    resistance: numberOr(params.resistance, DEFAULT_DIODES.resistance),
    saturation: numberOr(params.saturation, DEFAULT_DIODES.saturation),
  };
  const name = (diodes: typeof set) => `diodes ${Object.values(diodes).join(' ')}`;
  if (name(set) === name(DEFAULT_DIODES)) return 0;
  // Both amplitudes in the upper string's voltage of the shape as set, as the curve's input was.
  return gainToDb(
    onePercent(name(DEFAULT_DIODES), diodeCurve(DEFAULT_DIODES)) / onePercent(name(set), diodeCurve(set)),
  );
}

const solved = new Map<string, number>();

/** Amplitude at which a sine makes 1 % THD_F of harmonics 2 to 20. */
function onePercent(name: string, curve: Curve): number {
  const known = solved.get(name);
  if (known !== undefined) return known;
  let low = 1e-3;
  let high = 100;
  for (let i = 0; i < 60; i++) {
    const middle = Math.sqrt(low * high);
    if (distortion(curve, middle) < 0.01) low = middle;
    else high = middle;
  }
  if (solved.size > 1000) solved.clear();
  solved.set(name, Math.sqrt(low * high));
  return Math.sqrt(low * high);
}

function distortion(curve: Curve, amplitude: number): number {
  const harmonics = new Float64Array(HIGHEST + 1);
  for (let i = 0; i < POINTS; i++) {
    const y = curve(amplitude * COSINE[2 * i + 1]);
    for (let n = 1; n <= HIGHEST; n++) harmonics[n] += y * COSINE[(n * (2 * i + 1)) % (2 * POINTS)];
  }
  let sum = 0;
  for (let n = 2; n <= HIGHEST; n++) sum += harmonics[n] ** 2;
  return Math.sqrt(sum) / Math.abs(harmonics[1]);
}

/** x/(1 + |x|^p)^(1/p), and a hard clip from p = 100 on. */
function kneeCurve(p: number): Curve {
  if (p >= HARD_KNEE) return (x) => Math.max(-1, Math.min(1, x));
  return (x) => {
    const a = Math.abs(x);
    const y = a <= 1 ? a * (1 + a ** p) ** (-1 / p) : (1 + a ** -p) ** (-1 / p);
    return x < 0 ? -y : y;
  };
}

/** x = v + drop·(e^v − e^(−v·ratio)) solved for v, in units of the upper string's voltage. kΩ and nA. */
function diodeCurve({ up, down, resistance, saturation }: typeof DEFAULT_DIODES): Curve {
  const drop = (resistance * saturation * 1e-6) / (1.752 * 0.02585 * up);
  const ratio = up / down;
  return (x) => {
    let v = x >= 0 ? Math.min(x, Math.log(1 + x / drop)) : Math.max(x, -Math.log(1 - x / drop) / ratio);
    for (let i = 0; i < 60; i++) {
      const upper = Math.exp(v);
      const lower = Math.exp(-v * ratio);
      const step = (v + drop * (upper - lower) - x) / (1 + drop * (upper + ratio * lower));
      v -= step;
      if (Math.abs(step) < 1e-15 * (1 + Math.abs(v))) break;
    }
    return v;
  };
}

/** A count of diodes as the document writes it, "1" to "4". */
function countOf(value: unknown): number {
  return typeof value === 'string' && /^[1-4]$/.test(value) ? Number(value) : 1;
}

function numberOr(value: unknown, otherwise: number): number {
  return typeof value === 'number' && Number.isFinite(value) ? value : otherwise;
}

function limited(db: number): number {
  return Math.max(-DRIVE_DB, Math.min(DRIVE_DB, db));
}

function millionths(db: number): number {
  return Math.round(db * 1e6) / 1e6;
}
