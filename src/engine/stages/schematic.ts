/**
 * A drawing of a kind's circuit, as data: parts on a grid, x to the right and y down, a dozen units wide. The screen draws
 * them (`circuit-drawing`) and writes the values that are set beside them.
 */
export type Point = readonly [x: number, y: number];

/** Two leads, from one point of the grid to another. */
export type TwoPole = 'resistor' | 'capacitor' | 'inductor' | 'diode';

export type SchematicPart<Id extends string = string> =
  | { readonly draw: 'wire'; readonly path: readonly Point[] }
  /** `value`: the parameter whose value stands beside it; `text` stands there for a part that can't be set. */
  | {
      readonly draw: TwoPole;
      readonly from: Point;
      readonly to: Point;
      readonly value?: Id;
      readonly text?: string;
      /** Where the value stands: to the right of the way from `from` to `to` unless this says `left`. */
      readonly beside?: 'left';
    }
  /** A valve: plate 2 above, cathode 2 below, grid 2 to the left of `at`; `mirrored`, to the right. */
  | { readonly draw: 'triode'; readonly at: Point; readonly mirrored?: true }
  /** The iron between two windings, from `at` down. */
  | { readonly draw: 'core'; readonly at: Point; readonly length: number }
  | { readonly draw: 'joint' | 'ground'; readonly at: Point }
  /** Where something comes in or goes out, with what it is. */
  | { readonly draw: 'terminal'; readonly at: Point; readonly text?: string; readonly value?: Id }
  /** A step that is no electrical part, `width` by 2 around `at`. */
  | { readonly draw: 'step'; readonly at: Point; readonly width: number; readonly text: string; readonly value?: Id };

export interface Schematic<Id extends string = string> {
  /** Size in units of the grid. */
  readonly width: number;
  readonly height: number;
  readonly parts: readonly SchematicPart<Id>[];
}
