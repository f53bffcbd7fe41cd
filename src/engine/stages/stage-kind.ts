import { kernelTable } from '../kernel-table.generated.ts';
import { type Parameter, toNumber, USUAL_TONE_HZ } from '../parameters.ts';
import { bandSettleSeconds } from '../placement.ts';
import type { CommonParameterId } from './common-parameters.ts';
import type { Schematic } from './schematic.ts';

export { MAX_COEFFICIENTS } from '../kernel-table.generated.ts';

/** A kernel in worklets/kernels/stages. The names are made by the build from what stands there. */
export type KernelName = keyof typeof kernelTable;
type InputOf<K extends KernelName> = (typeof kernelTable)[K]['inputs'][number];
type IdOf<P extends readonly Parameter[]> = P[number]['id'];

/** Where each parameter stands in a stage's vector of values, by its id; another id doesn't compile. */
export type IndexOf<P extends readonly Parameter[]> = Readonly<Record<IdOf<P>, number>>;

/** What a kind says about one of its kernels. What isn't said is that of a plain static curve. */
export interface CircuitFacts {
  /**
   * How the spectrum of what it adds falls: a `smooth` curve is clean at the rack's usual rate, a `firm` one (a fast
   * knee, corners, an exponential) needs more. A kernel that tells corners is firm.
   */
  readonly knee?: 'smooth' | 'firm';
  /** Frames at the higher rate by which what it adds comes late. */
  readonly delayFrames?: number;
  /** `middle-side`: it is given the sum and the difference of left and right, each divided by √2, and what it adds is turned back. */
  readonly channels?: 'apart' | 'middle-side';
  /** `as-set`: 0 dB of drive puts the alignment peak at 1 by definition, instead of where the shape makes 1 % THD. */
  readonly level?: 'one-percent' | 'as-set';
  /**
   * Parameters that come on top of the amount: they stand at their defaults while the level is solved, as a bias always
   * does.
   */
  readonly onTop?: readonly string[];
  /** The tone that makes 1 % THD at 0 dB of drive, Hz; 997 unless it would say nothing of a circuit that bends others. */
  readonly toneHz?: number;
}

export interface Circuit extends Required<Omit<CircuitFacts, 'onTop'>> {
  readonly kernel: KernelName;
  /** The kernel's number in the dispatch. */
  readonly number: number;
  /** A curve has no memory; its rendering is shaping. */
  readonly isCurve: boolean;
  readonly hasCorners: boolean;
  /** A smooth curve that tells where it bends. */
  readonly hasKnots: boolean;
  /**
   * Largest amplitude of 10 kHz at the curve, in its own units, that plain samples at four times 44.1 kHz follow to
   * −80 dBc. Where full scale makes more, a curve that tells its knots is integrated over time.
   */
  readonly gentlePeak: number;
  /** A dear curve, which is looked up in a table of its shape. */
  readonly hasTable: boolean;
  /** Bytes of memory, 0 for a curve. */
  readonly stateBytes: number;
  /** Where the kernel's inputs stand in the stage's values. */
  readonly inputs: readonly number[];
  /** Which of its inputs is the bias, −1 for none. */
  readonly biasInput: number;
  /** Inputs that come on top of the amount, with what they are while the level is solved. */
  readonly onTop: readonly { readonly input: number; readonly value: number }[];
}

export interface StageKind {
  readonly id: string;
  readonly label: string;
  /** What it does, in one sentence. */
  readonly about: string;
  /** What it is good for, in one sentence: an engineer chooses by it. */
  readonly suits: string;
  /** In the order the screen shows them. */
  readonly parameters: readonly Parameter[];
  /** A drawing of the circuit, labelled with values; null for a kind that is no circuit. */
  readonly schematic: Schematic | null;
  /** Where the parameters stand that every kind has. */
  readonly at: Readonly<Record<CommonParameterId, number>>;
  /** Everything these parameters can make of it. */
  readonly circuits: readonly Circuit[];
  /** Time until the circuit has forgotten what it heard, to −120 dB of it, seconds; 0 for a curve. */
  circuitSettleSeconds(values: ArrayLike<number>): number;
  /** The same of the stage, the filters of its band included. Whatever has to wait for a rack waits for this (`settling.ts`). */
  settleSeconds(values: ArrayLike<number>): number;
  /** True where small signals don't all keep their level: the stage has a frequency response with these values. */
  hasResponse(values: ArrayLike<number>): boolean;
  /** The circuit that runs these values, one of `circuits`. A change of circuit is faded, not smoothed. Allocates nothing. */
  circuit(values: ArrayLike<number>): Circuit;
}

interface Declaration<P extends readonly Parameter[], K extends KernelName> {
  readonly id: string;
  readonly label: string;
  /** What it does, in one sentence. */
  readonly about: string;
  /** What it is good for, in one sentence: an engineer chooses by it. */
  readonly suits: string;
  readonly parameters: P;
  /** A drawing of its circuit; a value it names must be a parameter. */
  readonly schematic?: Schematic<IdOf<P>>;
  /** The kernels it uses and what is particular about them. */
  readonly circuits: Readonly<Record<K, CircuitFacts>>;
  /** Which kernel runs these values. */
  kernel(values: ArrayLike<number>, at: IndexOf<P>): K;
  /** True where it adds a linear response of its own; left out by what is linear for small signals as a plain gain. */
  hasResponse?(values: ArrayLike<number>, at: IndexOf<P>): boolean;
  /** How long it remembers with these values, seconds, to −120 dB; left out by curves. */
  settleSeconds?(values: ArrayLike<number>, at: IndexOf<P>): number;
}

/** Only there while every input of the kernels is a parameter; otherwise what is missing is in the error. */
type HasInputs<P extends readonly Parameter[], K extends KernelName> =
  Exclude<InputOf<K>, IdOf<P>> extends never ? unknown : { readonly 'no such parameter': Exclude<InputOf<K>, IdOf<P>> };

/** A stage kind from its declaration and its kernels. */
export function stageKind<const P extends readonly Parameter[], K extends KernelName>(
  declaration: Declaration<P, K> & HasInputs<P, K>,
): StageKind {
  const { id, label, about, suits, parameters } = declaration;
  const at = indexOf(parameters);
  const facts = declaration.circuits as Readonly<Record<string, CircuitFacts>>;
  const byKernel = Object.fromEntries(
    (Object.keys(facts) as KernelName[]).map((kernel) => [kernel, circuitOf(kernel, facts[kernel], parameters)]),
  );
  const circuitSettleSeconds = (values: ArrayLike<number>) =>
    declaration.settleSeconds?.(values, at as IndexOf<P>) ?? 0;
  return {
    id,
    label,
    about,
    suits,
    parameters,
    schematic: declaration.schematic ?? null,
    at: at as unknown as StageKind['at'],
    circuits: Object.values(byKernel),
    hasResponse: (values) => declaration.hasResponse?.(values, at as IndexOf<P>) ?? false,
    circuitSettleSeconds,
    settleSeconds: (values) =>
      circuitSettleSeconds(values) +
      (values[at.band] > 0 ? bandSettleSeconds(values[at.bandFrom], values[at.bandTo]) : 0),
    circuit: (values) => byKernel[declaration.kernel(values, at as IndexOf<P>)],
  };
}

function circuitOf(kernel: KernelName, facts: CircuitFacts, parameters: readonly Parameter[]): Circuit {
  const at = indexOf(parameters);
  const onTop = ['bias', ...(facts.onTop ?? [])];
  const { number, inputs, isCurve, hasCorners, hasKnots, hasTable, gentlePeak, stateBytes } = kernelTable[kernel];
  return {
    kernel,
    number,
    isCurve,
    hasCorners,
    hasKnots,
    gentlePeak,
    hasTable,
    stateBytes,
    inputs: inputs.map((id) => at[id]),
    biasInput: (inputs as readonly string[]).indexOf('bias'),
    knee: hasCorners ? 'firm' : 'smooth',
    delayFrames: 0,
    channels: 'apart',
    level: 'one-percent',
    toneHz: USUAL_TONE_HZ,
    ...facts,
    onTop: (inputs as readonly string[]).flatMap((id, input) => {
      const { [at[id]]: parameter } = parameters;
      return onTop.includes(id) ? [{ input, value: toNumber(parameter, parameter.default) }] : [];
    }),
  };
}

function indexOf(parameters: readonly Parameter[]): Readonly<Record<string, number>> {
  return Object.fromEntries(parameters.map((parameter, index) => [parameter.id, index]));
}
