/** Plots of a report as SVG: ink and iron-red, told apart by weight and dash as well, so that they print in grey. */
import { escapeHtml, figure, hertz } from './words.ts';

export interface ChartLine {
  readonly name: string;
  readonly className: 'clean' | 'coloured' | 'added' | 'ink';
  /** A null breaks the line. */
  readonly points: readonly (readonly [x: number, y: number | null])[];
  readonly marks?: boolean;
}

export interface Axis {
  readonly from: number;
  readonly to: number;
  readonly log?: boolean;
  readonly ticks: readonly (readonly [at: number, label: string])[];
}

export interface Chart {
  /** What it shows, for those who don't see it. */
  readonly title: string;
  readonly width: number;
  readonly height: number;
  readonly x: Axis;
  readonly y: Axis;
  readonly unit: string;
  readonly lines?: readonly ChartLine[];
  /** False where the caption or the shape tells the lines apart. */
  readonly legend?: boolean;
  /** From 0 to the value, at each place. */
  readonly bars?: readonly (readonly [x: number, y: number | null])[];
}

const LEFT = 44;
const RIGHT = 12;
const TOP = 16;
const BOTTOM = 22;
/** Width of one entry of the legend, where there is room. */
const LEGEND = 92;

export function chart({
  title,
  width,
  height,
  x,
  y,
  unit,
  lines = [],
  legend: wanted = true,
  bars = [],
}: Chart): string {
  const place = (axis: Axis, value: number) => {
    const [low, high, at] = axis.log ? [axis.from, axis.to, value].map(Math.log) : [axis.from, axis.to, value];
    return (at - low) / (high - low || 1);
  };
  const inside = (share: number) => Math.min(1, Math.max(0, share));
  const px = (value: number) => round(LEFT + inside(place(x, value)) * (width - LEFT - RIGHT));
  const py = (value: number) => round(height - BOTTOM - inside(place(y, value)) * (height - TOP - BOTTOM));
  const right = width - RIGHT;
  const grid = [
    ...y.ticks.map(
      ([at, label]) =>
        `<line class="grid" x1="${LEFT}" x2="${right}" y1="${py(at)}" y2="${py(at)}"/><text x="${LEFT - 5}" y="${round(py(at) + 3)}" text-anchor="end">${escapeHtml(label)}</text>`,
    ),
    ...x.ticks.map(
      ([at, label]) =>
        `<line class="grid" x1="${px(at)}" x2="${px(at)}" y1="${TOP}" y2="${height - BOTTOM}"/><text x="${px(at)}" y="${height - 7}" text-anchor="middle">${escapeHtml(label)}</text>`,
    ),
    `<text x="${LEFT - 5}" y="10" text-anchor="end">${escapeHtml(unit)}</text>`,
  ];
  const half = bars.length > 0 ? Math.max(1, (0.36 * (width - LEFT - RIGHT)) / bars.length) : 0;
  const zero = py(Math.min(y.to, Math.max(y.from, 0)));
  const columns = bars.flatMap(([at, value]) => {
    if (value === null) return [];
    const end = py(value);
    return [
      `<rect class="bar" x="${round(px(at) - half)}" y="${Math.min(zero, end)}" width="${round(2 * half)}" height="${round(Math.abs(end - zero))}"/>`,
    ];
  });
  const paths = lines.flatMap((line) => {
    const runs: string[][] = [[]];
    for (const [at, value] of line.points) {
      if (value === null) runs.push([]);
      else runs[runs.length - 1].push(`${px(at)},${py(value)}`);
    }
    const drawn = runs
      .filter((run) => run.length > 1)
      .map((run) => `<polyline class="${line.className}" points="${run.join(' ')}"/>`);
    const dots = line.marks
      ? line.points.flatMap(([at, value]) =>
          value === null ? [] : [`<circle class="${line.className}" cx="${px(at)}" cy="${py(value)}" r="2.2"/>`],
        )
      : [];
    return [...drawn, ...dots];
  });
  const legend =
    wanted && lines.length > 1 ? legendOf(lines, right, Math.min(LEGEND, (right - LEFT) / lines.length)) : '';
  const name = escapeHtml(title);
  return `<svg role="img" viewBox="0 0 ${width} ${height}" aria-label="${name}"><title>${name}</title>${grid.join('')}${bars.length > 0 ? `<line class="axis" x1="${LEFT}" x2="${right}" y1="${zero}" y2="${zero}"/>` : ''}${columns.join('')}${paths.join('')}${legend}</svg>`;
}

function legendOf(lines: readonly ChartLine[], right: number, step: number): string {
  return lines
    .map(({ name, className }, i) => {
      const at = right - step * (lines.length - i);
      return `<line class="${className}" x1="${at}" x2="${at + 18}" y1="7" y2="7"/><text x="${at + 22}" y="10">${escapeHtml(name.length > 14 ? `${name.slice(0, 13)}…` : name)}</text>`;
    })
    .join('');
}

/** Whole steps that hold all the values, with at least one step between the ends. */
export function levelAxis(values: readonly (number | null)[], step: number, least: number): Axis {
  const known = values.filter((value): value is number => value !== null && Number.isFinite(value));
  const high = known.length > 0 ? Math.ceil(Math.max(...known) / step) * step : 0;
  const low = known.length > 0 ? Math.floor(Math.min(...known) / step) * step : high - least;
  const from = Math.min(low, high - least);
  const count = Math.round((high - from) / step);
  const every = Math.max(1, Math.ceil(count / 8));
  const ticks = Array.from({ length: Math.floor(count / every) + 1 }, (_, i) => high - i * every * step);
  return { from, to: high, ticks: ticks.map((at) => [at, figure(at, step < 1 ? 1 : 0)] as const) };
}

/** An axis with 0 in its middle, as wide as the largest value needs. */
export function differenceAxis(values: readonly (number | null)[], step: number): Axis {
  const most = Math.max(step, ...values.map((value) => Math.abs(value ?? 0)));
  const reach = Math.ceil(most / step) * step;
  const at = [-reach, -reach / 2, 0, reach / 2, reach];
  return { from: -reach, to: reach, ticks: at.map((value) => [value, figure(value, 1, true)] as const) };
}

export const FREQUENCY_AXIS: Axis = {
  from: 20,
  to: 20_000,
  log: true,
  ticks: [31.5, 63, 125, 250, 500, 1000, 2000, 4000, 8000, 16_000].map(
    (hz) => [hz, hertz(hz).replace(/ k?Hz/, hz < 1000 ? '' : ' k')] as const,
  ),
};

function round(value: number): number {
  return Math.round(value * 100) / 100;
}
