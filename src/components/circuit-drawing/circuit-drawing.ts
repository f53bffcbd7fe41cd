import { html, LitElement, nothing, svg, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { formatValue, type Parameter } from '../../engine/parameters.ts';
import { findStageKind } from '../../engine/stages/catalogue.ts';
import type { Point, SchematicPart, TwoPole } from '../../engine/stages/schematic.ts';
import type { Stage } from '../../session/document.ts';
import { styles } from './circuit-drawing.styles.ts';

/** Pixels of a unit of the grid. */
const UNIT = 16;
/** Half a part's length along its leads and half its width, units. */
const BODY: Readonly<Record<TwoPole, readonly [along: number, across: number]>> = {
  resistor: [0.85, 0.32],
  capacitor: [0.16, 0.6],
  inductor: [1.2, 0.4],
  diode: [0.5, 0.5],
};

/** A stage's circuit, drawn from what its kind declares, with the values as they are set. Nothing for a kind that is none. */
@customElement('circuit-drawing')
export class CircuitDrawing extends LitElement {
  static override styles = styles;

  @property({ attribute: false }) stage!: Stage;

  override render() {
    const kind = findStageKind(this.stage.kind);
    if (!kind?.schematic) return nothing;
    const { height, parts, width } = kind.schematic;
    const shown = parts.flatMap((part) =>
      'value' in part && part.value ? [parameterOf(kind.parameters, part.value)] : [],
    );
    const values = shown.map((parameter) => `${parameter.label} ${this.settingOf(parameter)}`);
    return html`<svg
      viewBox="0 0 ${UNIT * width} ${UNIT * height}"
      width=${UNIT * width}
      role="img"
      aria-label="${kind.label}, circuit: ${values.join(', ')}"
    >
      ${parts.map((part) => this.renderPart(part, kind.parameters))}
    </svg>`;
  }

  private renderPart(part: SchematicPart, parameters: readonly Parameter[]) {
    switch (part.draw) {
      case 'wire':
        return svg`<path d=${line(part.path)} />`;
      case 'joint':
        return svg`<circle class="joint" cx=${px(part.at[0])} cy=${px(part.at[1])} r="2.5" />`;
      case 'ground':
        return svg`<path d="M${px(part.at[0])} ${px(part.at[1])}v6m-7 0h14m-11 3.5h8m-5.5 3.5h3" />`;
      case 'core':
        return svg`<path d="M${px(part.at[0]) - 2.5} ${px(part.at[1])}v${px(part.length)}m5 0v${-px(part.length)}" />`;
      case 'triode':
        return triode(part.at, part.mirrored ? -1 : 1);
      case 'terminal':
        return svg`<circle cx=${px(part.at[0])} cy=${px(part.at[1])} r="4" />${this.text(part, parameters, [
          part.at[0] + (part.text === 'in' ? -0.35 : 0.5),
          part.at[1] + (part.text ? -0.6 : 0.28),
        ])}`;
      case 'step': {
        const [x, y] = [px(part.at[0]), px(part.at[1])];
        const half = px(part.width) / 2;
        return svg`<rect x=${x - half} y=${y - UNIT} width=${2 * half} height=${2 * UNIT} rx="2" />
          <text x=${x} y=${y + (part.value ? -2 : 4)} text-anchor="middle">${part.text}</text>
          ${part.value ? svg`<text class="value" x=${x} y=${y + 12} text-anchor="middle">${this.words(part.value, parameters)}</text>` : nothing}`;
      }
      default:
        return this.renderTwoPole(part, parameters);
    }
  }

  /** Leads and body, drawn along the way and turned into place; the value upright beside it. */
  private renderTwoPole(part: Extract<SchematicPart, { readonly draw: TwoPole }>, parameters: readonly Parameter[]) {
    const { draw, from, to } = part;
    const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
    const half = px(Math.hypot(dx, dy)) / 2;
    const [along, across] = BODY[draw].map(px);
    const [x, y] = [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2];
    const turned = (Math.atan2(dy, dx) * 180) / Math.PI;
    const side = part.beside === 'left' ? -1 : 1;
    const gap = BODY[draw][1] + 0.35;
    // Beside a part that goes down or up the text stands to its right or left, along a level one above or below.
    const isLevel = Math.abs(dx) > Math.abs(dy);
    const at: Point = isLevel ? [x, y + (side < 0 ? -gap : gap + 0.6)] : [x + side * gap, y + 0.28];
    const anchor = isLevel ? 'middle' : side < 0 ? 'end' : 'start';
    return svg`<g transform="translate(${px(x)} ${px(y)}) rotate(${turned})">
        <path d="M${-half} 0H${-along}M${along} 0H${half}" />${bodies[draw](along, across)}
      </g>${this.text(part, parameters, at, anchor)}`;
  }

  private text(
    { text, value }: { readonly text?: string; readonly value?: string },
    parameters: readonly Parameter[],
    [x, y]: Point,
    anchor = 'start',
  ) {
    const words = value ? this.words(value, parameters) : text;
    return words === undefined
      ? nothing
      : svg`<text class=${value ? 'value' : 'name'} x=${px(x)} y=${px(y)} text-anchor=${anchor}>${words}</text>`;
  }

  private words(id: string, parameters: readonly Parameter[]): TemplateResult {
    const parameter = parameterOf(parameters, id);
    return svg`<title>${parameter.label}</title>${this.settingOf(parameter)}`;
  }

  private settingOf(parameter: Parameter): string {
    return formatValue(parameter, this.stage.params[parameter.id] ?? parameter.default);
  }
}

const bodies: Readonly<Record<TwoPole, (along: number, across: number) => TemplateResult>> = {
  resistor: (along, across) => svg`<rect x=${-along} y=${-across} width=${2 * along} height=${2 * across} />`,
  capacitor: (along, across) =>
    svg`<path class="plates" d="M${-along} ${-across}V${across}M${along} ${-across}V${across}" />`,
  inductor: (along, across) => {
    const bow = `a${along / 3} ${across} 0 0 1 ${(2 * along) / 3} 0`;
    return svg`<path d="M${-along} 0${bow}${bow}${bow}" />`;
  },
  diode: (along, across) =>
    svg`<path d="M${-along} ${-across}V${across}L${along} 0Z" /><path class="plates" d="M${along} ${-across}V${across}" />`,
};

function triode([x, y]: Point, way: 1 | -1) {
  const [cx, cy] = [px(x), px(y)];
  return svg`<circle cx=${cx} cy=${cy} r=${px(1.45)} />
    <path d="M${cx} ${cy - px(2)}V${cy - px(0.75)}" /><path class="plates" d="M${cx - 11} ${cy - px(0.75)}h22" />
    <path class="grid" d="M${cx - way * px(2)} ${cy}H${cx + way * 12}" />
    <path d="M${cx} ${cy + px(2)}V${cy + px(0.7)}" /><path class="plates" d="M${cx - 10} ${cy + px(0.7)}h20" />`;
}

function line(path: readonly Point[]): string {
  return `M${path.map(([x, y]) => `${px(x)} ${px(y)}`).join('L')}`;
}

function px(units: number): number {
  return UNIT * units;
}

function parameterOf(parameters: readonly Parameter[], id: string): Parameter {
  return parameters.find((parameter) => parameter.id === id) as Parameter;
}

declare global {
  interface HTMLElementTagNameMap {
    'circuit-drawing': CircuitDrawing;
  }
}
