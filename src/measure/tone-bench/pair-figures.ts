import type { Decibels, Hertz } from '../../dsp/units.ts';
import { gainToDb, orNull, powerToDb } from '../../dsp/units.ts';
import { AUDIBLE, LineSpectrum } from './line-spectrum.ts';
import type { PlacedProduct } from './products.ts';
import { placeProducts } from './products.ts';
import type { BenchProduct } from './result.ts';
import type { PairBins } from './snap-pair.ts';
import { floorDbc } from './tone-figures.ts';

export interface PairFigures {
  /** Peak level of the upper tone, to which all other figures refer; null if there is none. */
  readonly f2Dbfs: Decibels | null;
  readonly f1Dbfs: Decibels | null;
  readonly products: readonly BenchProduct[];
  readonly foldedProducts: readonly BenchProduct[];
  readonly dm2Percent: number | null;
  readonly dm3Percent: number | null;
  readonly dd2Percent: number | null;
  readonly dd3Percent: number | null;
  /** √(Σ products with both tones in them, to order 7) over f2. */
  readonly intermodulationPercent: number | null;
  /** Power sum of `foldedProducts`' lines from 20 Hz to 20 kHz, whatever their level. */
  readonly aliasDbc: Decibels | null;
  readonly dcDbfs: Decibels | null;
  readonly floorDbc: Decibels | null;
}

/**
 * Figures of two tones in steady state, by IEC 60268-3 (from memory; that U_f2 is the reference was read at a second
 * place):
 * d_m2 = (U_{f2−f1} + U_{f2+f1})/U_f2, d_m3 likewise with ±2f1 (modulation of a high tone by a low one),
 * d_d2 = U_{f2−f1}/(2·U_f2), d_d3 = (U_{2f1−f2} + U_{2f2−f1})/(2·U_f2) (difference tones of equal tones).
 * @param limitDbc products below this are not listed
 */
export function pairFigures(
  samples: ArrayLike<number>,
  sampleRate: Hertz,
  { k1, k2 }: PairBins,
  limitDbc: Decibels,
): PairFigures {
  const spectrum = new LineSpectrum(samples, sampleRate);
  const reference = spectrum.power[k2];
  const placed = placeProducts(k1, k2, spectrum.size);
  const floor = floorDbc(spectrum, k2);
  const limit = Math.max(limitDbc, floor ?? limitDbc);
  const listed = reference > 0 ? groupByLine(placed, spectrum, [k1, k2], reference, limit) : [];
  const folded = new Set(placed.filter((product) => product.folded).map(({ bin }) => bin));
  const own = new Set([0, k1, k2, ...placed.filter((product) => !product.folded).map(({ bin }) => bin)]);
  const aliasBins = [...folded].filter((bin) => !own.has(bin) && inBand(spectrum.frequencyOf(bin)));
  const aliases = aliasBins.reduce((sum, bin) => sum + spectrum.power[bin], 0);
  const both = placed.filter(({ m, n, folded: away }) => m !== 0 && n !== 0 && !away);
  const bothPower = [...new Set(both.map(({ bin }) => bin))]
    .filter((bin) => bin !== 0 && bin !== k1 && bin !== k2)
    .reduce((sum, bin) => sum + spectrum.power[bin], 0);

  // Sum of amplitudes at m·f1 + n·f2, as per cent of f2 times `twice`; null where one of them can't be there.
  const share = (twice: 1 | 2, ...bins: number[]) => {
    if (!(reference > 0) || bins.some((bin) => bin <= 0 || bin >= spectrum.size / 2)) return null;
    const sum = bins.reduce((total, bin) => total + spectrum.amplitude(bin), 0);
    return (100 * sum) / (twice * Math.sqrt(reference));
  };
  return {
    f1Dbfs: orNull(powerToDb(spectrum.power[k1])),
    f2Dbfs: orNull(powerToDb(reference)),
    products: listed.filter((line) => !line.folded).map(({ folded: _, ...product }) => product),
    foldedProducts: listed.filter((line) => line.folded).map(({ folded: _, ...product }) => product),
    dm2Percent: share(1, k2 - k1, k2 + k1),
    dm3Percent: share(1, k2 - 2 * k1, k2 + 2 * k1),
    dd2Percent: share(2, k2 - k1),
    dd3Percent: share(2, 2 * k1 - k2, 2 * k2 - k1),
    intermodulationPercent: reference > 0 ? 100 * Math.sqrt(bothPower / reference) : null,
    aliasDbc: reference > 0 ? orNull(powerToDb(aliases / reference)) : null,
    dcDbfs: orNull(gainToDb(spectrum.dc)),
    floorDbc: floor,
  };
}

function inBand(hz: Hertz): boolean {
  return hz >= AUDIBLE.low && hz <= AUDIBLE.high;
}

/**
 * One entry for every line that holds products, strongest first. Products on one line can't be told apart and are
 * named together; a line counts as folded only if nothing else can stand there. Lines of the tones and DC are left out.
 */
export function groupByLine(
  placed: readonly PlacedProduct[],
  spectrum: LineSpectrum,
  leave: readonly number[],
  reference: number,
  limitDbc: Decibels,
): (BenchProduct & { readonly folded: boolean })[] {
  const lines = new Map<number, PlacedProduct[]>();
  for (const product of placed) {
    if (product.bin === 0 || product.bin >= spectrum.size / 2 || leave.includes(product.bin)) continue;
    lines.set(product.bin, [...(lines.get(product.bin) ?? []), product]);
  }
  return [...lines]
    .map(([bin, all]) => {
      const true_ = all.filter(({ folded }) => !folded);
      const named = true_.length > 0 ? true_ : all;
      return {
        label: named.map(({ label }) => label).join(' = '),
        hz: spectrum.frequencyOf(bin),
        dbc: powerToDb(spectrum.power[bin] / reference),
        order: Math.min(...named.map(({ order }) => order)),
        folded: true_.length === 0,
      };
    })
    .filter(({ dbc }) => dbc > limitDbc)
    .sort((a, b) => b.dbc - a.dbc);
}
