import { scaleLinear } from 'd3-scale';
import { html, LitElement, nothing, svg } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import type { StageFace } from '../../stores/analysis-store.ts';
import { figure } from '../format/figures.ts';
import { styles } from './stage-curve.styles.ts';

const SIZE = 100;

/** A stage's static curve over the straight line, with the time the programme spends at each input level. */
@customElement('stage-curve')
export class StageCurve extends LitElement {
  static override styles = styles;

  @property({ attribute: false }) face: StageFace | undefined;

  override render() {
    const { face } = this;
    if (!face || face.curveX.length === 0) {
      return html`<svg viewBox="0 0 ${SIZE} ${SIZE}" role="img" aria-label="No curve yet">${axes}</svg>`;
    }
    const range = Math.max(Math.abs(face.curveX[0]), Math.abs(face.curveX[face.curveX.length - 1])) || 1;
    const x = scaleLinear([-range, range], [0, SIZE]);
    const y = scaleLinear([-range, range], [SIZE, 0]).clamp(true);
    const points = Array.from(face.curveX, (input, i) => `${x(input).toFixed(2)} ${y(face.curveY[i]).toFixed(2)}`);
    return html`<svg viewBox="0 0 ${SIZE} ${SIZE}" role="img" aria-label=${describe(face)}>
      ${axes}
      ${face.histogram ? svg`<path class="histogram" d=${histogram(face, x)} />` : nothing}
      <path class="straight" d="M0 ${SIZE}L${SIZE} 0" />
      ${onePercent(face, range, x)}
      <path class="curve" d=${`M${points.join('L')}`} />
      ${face.loop ? svg`<path class="loop" d=${loopPath(face.loop, x, y)} />` : nothing}
    </svg>`;
  }
}

const axes = svg`<path class="axes" d="M0 ${SIZE / 2}H${SIZE}M${SIZE / 2} 0V${SIZE}" />`;

/** Bars standing on the lower edge, as a stepped outline: bins are shares of time, not samples of a smooth curve. */
function histogram({ histogram, curveX }: StageFace, x: (value: number) => number): string {
  const bins = histogram!;
  const left = x(curveX[0]);
  const width = (x(curveX[curveX.length - 1]) - left) / bins.length;
  const height = 0.42 * SIZE;
  let path = `M${left.toFixed(2)} ${SIZE}`;
  bins.forEach((share, i) => {
    path += `V${(SIZE - share * height).toFixed(2)}H${(left + (i + 1) * width).toFixed(2)}`;
  });
  return `${path}V${SIZE}Z`;
}

/** Ticks on the input axis where the stage makes 1 % THD. */
function onePercent(face: StageFace, range: number, x: (value: number) => number) {
  if (face.onePercentDbfs === null) return nothing;
  const level = 10 ** (face.onePercentDbfs / 20);
  if (level >= range) return nothing;
  const tick = (at: number) => `M${x(at).toFixed(2)} ${SIZE / 2 - 5}v10`;
  return svg`<path class="tick" d="${tick(-level)}${tick(level)}" />`;
}

/** The measured loop of a stage with memory, closed. */
export function loopPath(
  loop: NonNullable<StageFace['loop']>,
  x: (value: number) => number,
  y: (value: number) => number,
): string {
  const points = Array.from(loop.x, (input, i) => `${x(input).toFixed(2)} ${y(loop.y[i]).toFixed(2)}`);
  return `M${points.join('L')}Z`;
}

function describe(face: StageFace): string {
  const level =
    face.onePercentDbfs === null
      ? 'It never makes 1 % THD.'
      : `It makes 1 % THD at ${figure(face.onePercentDbfs, { digits: 1, unit: 'dBFS' })}.`;
  return `Curve of output against input${face.histogram ? ", with the programme's amplitudes" : ''}. ${level}${
    face.loop
      ? ` The loop is measured at ${figure(face.loop.hz, { digits: 0, unit: 'Hz' })}: emphasis gives it memory.`
      : ''
  }`;
}

declare global {
  interface HTMLElementTagNameMap {
    'stage-curve': StageCurve;
  }
}
