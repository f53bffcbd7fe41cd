import { scaleLinear } from 'd3-scale';
import { type SVGTemplateResult, svg } from 'lit';
import { figure } from '../format/figures.ts';
import { percent } from './outcome-rows.ts';

export const RATE_HEIGHT = 76;
const LEFT = 16;
const RIGHT = 20;
const WORTH_ROW = 34;

export interface Rate {
  readonly hits: number;
  readonly of: number;
  readonly interval: { readonly low: number; readonly high: number } | null;
}

/** A share of answers with its 95 % interval, against the one half of chance. */
export function ratePlot({ hits, of, interval }: Rate, width: number): SVGTemplateResult {
  const x = scaleLinear([0, 1], [LEFT, width - RIGHT]);
  const at = x(of === 0 ? 0.5 : hits / of);
  return svg`
    ${[0, 0.25, 0.5, 0.75, 1].map(
      (share) => svg`<path class=${share === 0.5 ? 'even' : 'grid'} d="M${crisp(x(share))} 8V52" />
        <text x=${x(share)} y="68" text-anchor="middle">${share === 0.5 ? 'chance' : percent(share)}</text>`,
    )}
    ${
      interval
        ? svg`<path class="error" d="M${x(interval.low)} 30H${x(interval.high)}M${x(interval.low)} 22v16M${x(interval.high)} 22v16" />`
        : ''
    }
    <circle class="chosen" cx=${at} cy="30" r="6" />
    <text class="name" x=${at} y="17" text-anchor="middle">${hits} of ${of}</text>`;
}

export interface Worth {
  readonly name: string;
  /** Log-ability about the mean of all. */
  readonly value: number;
  readonly standardError: number;
  readonly share: number;
}

export function worthHeight(sounds: number): number {
  return WORTH_ROW * sounds + 44;
}

/** Several sounds on one scale, the most chosen on top, each with one standard error to either side. */
export function worthPlot(sounds: readonly Worth[], width: number): SVGTemplateResult {
  const names = Math.min(200, 0.32 * width);
  const shares = 46;
  const ends = sounds.flatMap(({ value, standardError }) => [value - standardError, value + standardError]);
  const x = scaleLinear([Math.min(-1, ...ends), Math.max(1, ...ends)], [names + 12, width - shares - 12]).nice();
  const foot = WORTH_ROW * sounds.length + 8;
  const ticks = x.ticks(Math.max(3, Math.floor((width - names) / 80)));
  return svg`
    ${ticks.map(
      (tick) => svg`<path class=${tick === 0 ? 'even' : 'grid'} d="M${crisp(x(tick))} 4V${foot}" />
        <text x=${x(tick)} y=${foot + 16} text-anchor="middle">${figure(tick, { digits: Number.isInteger(tick) ? 0 : 1, signed: true })}</text>`,
    )}
    <text class="title" x=${names + 12} y=${foot + 32}>logits from the mean of all</text>
    ${sounds.map(({ name, value, standardError, share }, i) => {
      const y = WORTH_ROW * (i + 0.5) + 4;
      return svg`<text class="name" x=${names} y=${y} dy="0.34em" text-anchor="end"><title>${name}</title>${shortened(name, names)}</text>
        <path class="error" d="M${x(value - standardError)} ${y}H${x(value + standardError)}M${x(value - standardError)} ${y - 6}v12M${x(value + standardError)} ${y - 6}v12" />
        <circle class="chosen" cx=${x(value)} cy=${y} r="5" />
        <text class="name" x=${width - 4} y=${y} dy="0.34em" text-anchor="end">${percent(share)}</text>`;
    })}`;
}

/** Svg text doesn't wrap; the table has the whole name. */
function shortened(name: string, room: number): string {
  const letters = Math.max(6, Math.floor(room / 6.4));
  return name.length > letters ? `${name.slice(0, letters - 1)}…` : name;
}

function crisp(value: number): number {
  return Math.round(value) + 0.5;
}
