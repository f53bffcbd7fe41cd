import { scaleLinear } from 'd3-scale';
import { nothing, type SVGTemplateResult, svg } from 'lit';
import { choiceOf, counts } from '../../blind/trial-record.ts';
import { amountText } from '../../blind/trial-words.ts';
import type { TrialAnalysis, TrialRecord } from '../../stores/trial-store.ts';
import { figure } from '../format/figures.ts';
import { percent } from './outcome-rows.ts';

export type DriveResult = Extract<TrialAnalysis['result'], { kind: 'drive-search' }>;

const LEFT = 46;
/** Leaves room for the axis's unit beside its last figure. */
const RIGHT = 34;
const PEAK_HEIGHT = 52;
const CURVE_HEIGHT = 210;
const ROW = 8;
const APART = 26;
/** Clean stands apart from the amounts, since no number of dB leads to it. */
const CLEAN_AT = LEFT + 16;
const FIRST_AMOUNT = LEFT + 62;

/** Height of the whole drawing, px. */
export function driveCurveHeight(answers: number): number {
  return PEAK_HEIGHT + CURVE_HEIGHT + ROW * Math.max(4, answers) + 3 * APART + 22;
}

/**
 * Over one axis of amounts: how likely the best amount lies where, how often each is chosen over clean, and every
 * answer with the chosen amount filled and the other one outlined.
 */
export function driveCurve(result: DriveResult, { plan, trials }: TrialRecord, width: number): SVGTemplateResult {
  const { curve, peak, preferredDb, low, high, verdict } = result;
  const [min, max] = plan.kind === 'drive-search' ? [plan.min, plan.max] : [0, 1];
  const scale = scaleLinear([min, max], [FIRST_AMOUNT, width - RIGHT]);
  const x = (amount: number | null) => (amount === null ? CLEAN_AT : scale(amount));
  const answers = trials.filter(counts).map(choiceOf);
  const peakFoot = APART + PEAK_HEIGHT;
  const curveTop = peakFoot + APART;
  const curveFoot = curveTop + CURVE_HEIGHT;
  const answersTop = curveFoot + APART;
  const foot = answersTop + ROW * Math.max(4, answers.length);
  const y = scaleLinear([0, 1], [curveFoot, curveTop]);
  const shown = verdict !== 'no-preference';
  const half = 0.5 * (x(peak[2]?.amountDb ?? max) - x(peak[1]?.amountDb ?? min));
  const edge = (amount: number | null, outward: number) => x(amount) + (amount === null ? 8 * outward : 0);
  return svg`
    <rect class="interval ${shown ? '' : 'faint'}" x=${edge(low, -1)} y=${APART - 8}
      width=${Math.max(2, edge(high, 1) - edge(low, -1))} height=${foot - APART + 12} />
    ${grid(scale.ticks(width < 500 ? 4 : 8), x, APART - 8, foot)}
    <text class="title" x=${LEFT} y=${12}>where the best amount lies, probability</text>
    ${bars(peak, x, half, peakFoot)}
    <text class="title" x=${LEFT} y=${curveTop - 9}>chosen over clean</text>
    ${[0, 0.25, 0.5, 0.75, 1].map(
      (share) => svg`<path class=${share === 0.5 ? 'even' : 'grid'} d="M${LEFT} ${crisp(y(share))}H${width - RIGHT}" />
        <text x=${LEFT - 6} y=${y(share)} dy="0.34em" text-anchor="end">${percent(share)}</text>`,
    )}
    ${curveWithBand(curve, x, y)}
    ${
      shown
        ? svg`<path class="best" d="M${x(preferredDb)} ${APART - 8}V${foot + 4}" />
          <text class="name" x=${x(preferredDb) + (x(preferredDb) > width - 110 ? -6 : 6)} y=${curveTop + 10}
            text-anchor=${x(preferredDb) > width - 110 ? 'end' : 'start'}>best: ${amountText(preferredDb)}</text>`
        : nothing
    }
    <text class="title" x=${LEFT} y=${answersTop - 9}>answers in order, the chosen one filled</text>
    ${answers.map(({ winner, loser }, i) => {
      const at = answersTop + ROW * (i + 0.5);
      const [chosen, other] = [x(winner.amountDb), x(loser.amountDb)];
      return svg`<g class="answer"><title>${amountText(winner.amountDb)} chosen over ${amountText(loser.amountDb)}</title>
        <path d="M${chosen.toFixed(1)} ${at}H${other.toFixed(1)}" />
        <circle class="other" cx=${other} cy=${at} r="2.6" /><circle class="chosen" cx=${chosen} cy=${at} r="3" /></g>`;
    })}
    <text class="name" x=${CLEAN_AT} y=${foot + 18} text-anchor="middle">clean</text>
    ${scale
      .ticks(width < 500 ? 4 : 8)
      .map(
        (amount) =>
          svg`<text x=${x(amount)} y=${foot + 18} text-anchor="middle">${figure(amount, { digits: 0, signed: true })}</text>`,
      )}
    <text x=${width} y=${foot + 18} text-anchor="end">dB</text>`;
}

type Scale = (amount: number | null) => number;

function grid(ticks: readonly number[], x: Scale, top: number, foot: number) {
  return [null, ...ticks].map((amount) => svg`<path class="grid" d="M${crisp(x(amount))} ${top}V${foot}" />`);
}

function bars(peak: DriveResult['peak'], x: Scale, half: number, foot: number) {
  const most = Math.max(...peak.map(({ probability }) => probability));
  return peak.map(({ amountDb, probability }) => {
    const reach = amountDb === null ? 5 : Math.max(0.6, 0.85 * half);
    const height = (PEAK_HEIGHT - 8) * (probability / most);
    return svg`<rect class="peak" x=${x(amountDb) - reach} y=${foot - height} width=${2 * reach} height=${height}>
      <title>${amountText(amountDb)}: ${percent(probability)}</title></rect>`;
  });
}

/** 90 % of the curves that the answers leave lie in the band. Clean against itself is one half by definition. */
function curveWithBand(curve: DriveResult['curve'], x: Scale, y: (share: number) => number) {
  const points = curve.filter(({ amountDb }) => amountDb !== null);
  const line = (value: (point: (typeof points)[number]) => number, order = points) =>
    order.map((point) => `${x(point.amountDb).toFixed(1)} ${y(value(point)).toFixed(1)}`).join('L');
  const back = [...points].reverse();
  return svg`<path class="band" d="M${line(({ high }) => high)}L${line(({ low }) => low, back)}Z" />
    <path class="curve" d="M${line(({ overClean }) => overClean)}" />
    <rect class="clean" x=${CLEAN_AT - 3.5} y=${y(0.5) - 3.5} width="7" height="7" />`;
}

function crisp(value: number): number {
  return Math.round(value) + 0.5;
}
