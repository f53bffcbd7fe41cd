import type { Stretches } from '../level-diagram/level-path.ts';

/** Widths in rem. */
const IN = 7.6;
const STAGE_LEAST = 17;
const STAGE_MOST = 38;
const CATALOGUE = 10.2;

export interface Columns {
  /** For `grid-template-columns`. */
  readonly template: string;
  readonly stretches: Stretches;
  readonly scrolls: boolean;
}

/**
 * Widths of the In column, the stages and the catalogue within `width` px, such that the diagram's stretches stand
 * exactly over them. Stages share what is left; below their least width the sheet scrolls sideways instead. On a
 * narrow screen the columns leave the diagram, which then has even stretches over the whole width.
 */
export function layColumns(width: number, stageCount: number, rem: number, narrow: boolean): Columns {
  if (narrow) {
    const first = 2.6 * rem;
    const each = stageCount > 0 ? (0.86 * (width - first)) / stageCount : 0;
    const edges = Array.from({ length: stageCount + 1 }, (_, i) => first + i * each);
    return { template: 'minmax(0, 1fr)', stretches: { left: 0, edges, right: width }, scrolls: false };
  }
  const inWidth = Math.round(IN * rem);
  const least = Math.round(STAGE_LEAST * rem);
  const free = width - inWidth - Math.round(CATALOGUE * rem);
  const stage =
    stageCount > 0 ? Math.max(least, Math.min(Math.round(STAGE_MOST * rem), Math.floor(free / stageCount))) : 0;
  const edges = Array.from({ length: stageCount + 1 }, (_, i) => inWidth + i * stage);
  const catalogue = Math.max(Math.round(CATALOGUE * rem), width - edges[stageCount]);
  const right = edges[stageCount] + catalogue;
  const stages = stageCount > 0 ? `repeat(${stageCount}, ${stage}px) ` : '';
  return {
    template: `${inWidth}px ${stages}${catalogue}px`,
    stretches: { left: 0, edges, right },
    scrolls: right > width + 1,
  };
}
