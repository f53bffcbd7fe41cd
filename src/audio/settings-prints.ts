import type { GraphConfig, SessionConfig } from '../engine/config.ts';
import type { Place } from '../engine/graph-plan.ts';

export interface RackPlace {
  readonly point: Place;
  readonly index: number;
}

/** What sounds at each rack, as text to compare: what it is set to and everything before it, on both sides. */
export class SettingsPrints {
  private prints: ReadonlyMap<string, string> = new Map();

  /**
   * Takes what the engine is told now.
   * @param layout ids of channels and buses in the engine's order
   * @returns the racks whose sound it changes; null for all of them, where others stand in their places
   */
  take(layout: string, config: SessionConfig): readonly RackPlace[] | null {
    const before = this.prints;
    const places = printsOf(config);
    this.prints = new Map([
      ['layout', layout],
      ...places.map(({ point, index, print }) => [`${point} ${index}`, print] as const),
    ]);
    if (before.get('layout') !== layout) return null;
    return places.filter(({ point, index, print }) => before.get(`${point} ${index}`) !== print);
  }
}

/** The racks that a rack's output goes through, itself included. */
export function downstream(config: SessionConfig, { point, index }: RackPlace): readonly RackPlace[] {
  const mix: RackPlace = { point: 'mix', index: 0 };
  if (point === 'mix') return [mix];
  if (point === 'bus') return [{ point, index }, mix];
  const bus = config.b.channels[index]?.bus ?? -1;
  return [{ point, index }, ...(bus >= 0 ? [{ point: 'bus', index: bus } as const] : []), mix];
}

function printsOf({ alignmentDbfs, a, b }: SessionConfig): readonly (RackPlace & { print: string })[] {
  const print = (of: (graph: GraphConfig) => unknown) => JSON.stringify([alignmentDbfs, of(a), of(b)]);
  return [
    ...b.channels.map((_, index) => ({
      point: 'channel' as const,
      index,
      print: print(({ channels }) => channels[index]?.rack),
    })),
    ...b.buses.map((_, index) => ({
      point: 'bus' as const,
      index,
      print: print(({ channels, buses }) => [channels.filter(({ bus }) => bus === index), buses[index]?.rack]),
    })),
    { point: 'mix', index: 0, print: print((graph) => graph) },
  ];
}
