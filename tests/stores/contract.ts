/** What every store is asked, the one behind the screen and its stand-in in memory alike. */
import { expect } from 'vitest';
import type { Command } from '../../src/session/commands.ts';
import type { Observable } from '../../src/stores/observable.ts';
import { Workbench } from '../../src/workbench/workbench.ts';
import { smallSession } from '../measure/sessions.ts';

/** The workbench's own document is empty; the small session is put in by commands. */
export function workbench(): Workbench {
  const filled = new Workbench('Level Best tests');
  for (const [index, channel] of smallSession().channels.entries()) {
    filled.dispatch({ type: 'add-channel', channel: { ...channel, busId: null }, index } as Command);
  }
  return filled;
}

/** How often it says that it has changed while `act` runs. */
export function told(store: Observable, act: () => void): number {
  let times = 0;
  const leave = store.subscribe(() => times++);
  act();
  leave();
  return times;
}

/** The same of what takes its time. */
export async function toldWhile(store: Observable, act: () => Promise<unknown>): Promise<number> {
  let times = 0;
  const leave = store.subscribe(() => times++);
  await act();
  leave();
  return times;
}

/** Every store's manners: all who listen are told, until they leave, and leaving while being told harms nobody. */
export function observable(store: Observable, change: () => void): void {
  const heard: string[] = [];
  const leaveOne = store.subscribe(() => {
    heard.push('one');
    leaveOne();
  });
  const leaveTwo = store.subscribe(() => heard.push('two'));
  change();
  expect(heard).toContain('one');
  expect(heard).toContain('two');
  heard.length = 0;
  change();
  expect(heard).not.toContain('one');
  expect(heard).toContain('two');
  leaveTwo();
  leaveTwo();
  heard.length = 0;
  change();
  expect(heard).toEqual([]);
}

/** Where two values are not made alike: keys, lists and types, whatever the figures. What is null may be anything. */
export function unlike(one: unknown, other: unknown, path = ''): string[] {
  if (one === null || other === null) return [];
  if (typeof one !== 'object' || typeof other !== 'object') {
    return typeof one === typeof other ? [] : [`${path}: ${typeof one}, ${typeof other}`];
  }
  if (ArrayBuffer.isView(one) || ArrayBuffer.isView(other)) {
    return one.constructor === other.constructor ? [] : [`${path}: ${one.constructor.name}, ${other.constructor.name}`];
  }
  if (Array.isArray(one) !== Array.isArray(other)) return [`${path}: a list and none`];
  if (Array.isArray(one) && Array.isArray(other)) {
    return one.length > 0 && other.length > 0 ? unlike(one[0], other[0], `${path}[0]`) : [];
  }
  const [a, b] = [one as Record<string, unknown>, other as Record<string, unknown>];
  return [...new Set([...Object.keys(a), ...Object.keys(b)])].flatMap((key) =>
    key in a && key in b ? unlike(a[key], b[key], `${path}.${key}`) : [`${path}.${key}`],
  );
}
