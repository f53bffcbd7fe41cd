/**
 * One declaration per parameter. The screen's controls, the command line, the validation, the documentation and the
 * tests all read it; nowhere else is a range or a default written.
 */

/** The tone that most kinds' drive is counted from, Hz (AES17's). */
export const USUAL_TONE_HZ = 997;

export type ParameterUnit =
  | 'dB'
  | 'dBc'
  | '%'
  | 'Hz'
  | 's'
  | 'ms'
  | 'V'
  | 'nA'
  | 'mA'
  | 'Ω'
  | 'kΩ'
  | 'nF'
  | 'µF'
  | 'mH'
  | 'H'
  | 'µm'
  | 'mm'
  | '';

interface ParameterBase {
  readonly id: string;
  readonly label: string;
  /** One sentence for the help text and the documentation. */
  readonly about: string;
  /** `face`: set by ear, on the stage's face. `circuit`: one level deeper. */
  readonly place: 'face' | 'circuit';
  /** Shown only while another choice parameter of the stage has this value. */
  readonly when?: { readonly id: string; readonly is: string };
}

export interface ContinuousParameter extends ParameterBase {
  readonly type: 'continuous';
  readonly unit: ParameterUnit;
  readonly min: number;
  readonly max: number;
  readonly default: number;
  /** How the control's travel maps to the value. `log` needs min > 0. */
  readonly taper: 'linear' | 'log';
  /** One key press; shift takes a tenth. For a log taper a share of the travel, from 0 to 1. */
  readonly step: number;
  /** Digits after the decimal point on screen. */
  readonly digits: number;
  /** A word shown in place of the figure at the end of the range, e.g. "off" or "hard". */
  readonly atMin?: string;
  readonly atMax?: string;
  /** Letters for the two halves of a range with 0 in its middle, in place of a sign: "L 40 %". */
  readonly signs?: readonly [negative: string, positive: string];
}

export interface ChoiceParameter extends ParameterBase {
  readonly type: 'choice';
  readonly choices: readonly { readonly id: string; readonly label: string }[];
  readonly default: string;
}

export type Parameter = ContinuousParameter | ChoiceParameter;

/** What a document stores: numbers for continuous parameters, the choice's id for the others. */
export type ParameterValue = number | string;
export type ParameterValues = Readonly<Record<string, ParameterValue>>;

/** The values of every parameter at its default. */
export function defaultValues(parameters: readonly Parameter[]): Record<string, ParameterValue> {
  return Object.fromEntries(parameters.map((parameter) => [parameter.id, parameter.default]));
}

/**
 * What is wrong with `value` for `parameter`, as a sentence that says what to do; null when it is fine.
 */
export function parameterFault(parameter: Parameter, value: unknown): string | null {
  if (parameter.type === 'choice') {
    if (parameter.choices.some((choice) => choice.id === value)) return null;
    return `${parameter.id} must be one of ${parameter.choices.map((choice) => choice.id).join(', ')}; it was ${String(value)}.`;
  }
  if (typeof value === 'number' && value >= parameter.min && value <= parameter.max) return null;
  const unit = parameter.unit === '' ? '' : ` ${parameter.unit}`;
  return `${parameter.id} must be a number from ${parameter.min} to ${parameter.max}${unit}; it was ${String(value)}.`;
}

/** The engine's form of a value: a choice becomes its index. */
export function toNumber(parameter: Parameter, value: ParameterValue | undefined): number {
  if (parameter.type === 'choice') {
    const index = parameter.choices.findIndex((choice) => choice.id === value);
    return index >= 0 ? index : parameter.choices.findIndex((choice) => choice.id === parameter.default);
  }
  if (typeof value !== 'number' || Number.isNaN(value)) return parameter.default;
  return Math.min(parameter.max, Math.max(parameter.min, value));
}

/** Position of a value along the control's travel, 0 to 1. */
export function toTravel(parameter: ContinuousParameter, value: number): number {
  const { min, max, taper } = parameter;
  return taper === 'log' ? Math.log(value / min) / Math.log(max / min) : (value - min) / (max - min);
}

/** The value at a position along the control's travel, 0 to 1. */
export function fromTravel(parameter: ContinuousParameter, travel: number): number {
  const { min, max, taper } = parameter;
  const t = Math.min(1, Math.max(0, travel));
  return taper === 'log' ? min * (max / min) ** t : min + t * (max - min);
}

/** The value as an engineer reads it, with sign and unit: "+3.0 dB", "40 %", "off". */
export function formatValue(parameter: Parameter, value: ParameterValue): string {
  if (parameter.type === 'choice') {
    return parameter.choices.find((choice) => choice.id === value)?.label ?? String(value);
  }
  const number = Number(value);
  if (parameter.atMin !== undefined && number <= parameter.min) return parameter.atMin;
  if (parameter.atMax !== undefined && number >= parameter.max) return parameter.atMax;
  const side = parameter.signs?.[number < 0 ? 0 : 1];
  if (side !== undefined && Math.round(number * 10 ** parameter.digits) !== 0) {
    return `${side} ${formatValue({ ...parameter, signs: undefined }, Math.abs(number))}`;
  }
  const signed = parameter.min < 0 && parameter.unit === 'dB' && number > 0;
  const text = number.toFixed(parameter.digits).replace('-', '−');
  const shown = /^−0(\.0*)?$/.test(text) ? text.slice(1) : text;
  return `${signed && Number(number.toFixed(parameter.digits)) !== 0 ? '+' : ''}${shown}${parameter.unit === '' ? '' : ` ${parameter.unit}`}`;
}
