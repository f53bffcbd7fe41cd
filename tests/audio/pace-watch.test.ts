/** Whether sound keeps up with the clock: a context in which as much of it is computed as the test says. */
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { watchPace } from '../../src/audio/pace-watch.ts';

beforeEach(() => void vi.useFakeTimers());
afterEach(() => {
  vi.restoreAllMocks();
  vi.useRealTimers();
});

function rig() {
  const context = { currentTime: 0, state: 'running' as 'running' | 'suspended' | 'closed' };
  const told: number[] = [];
  const end = watchPace(context, (late) => told.push(late));
  /** Lets time go by in steps, of which the context computes a share. */
  const run = (seconds: number, share: number) => {
    const step = 0.1;
    for (let t = 0; t < seconds - 1e-9; t += step) {
      context.currentTime += share * step;
      vi.advanceTimersByTime(1000 * step);
    }
  };
  return { context, told, end, run };
}

describe('the pace of the sound', () => {
  it('is not told while everything comes in time, give or take a device’s clock and what is computed ahead', () => {
    const { context, told, run } = rig();
    run(20, 1.0005);
    context.currentTime += 0.03;
    run(5, 0.9995);
    context.currentTime -= 0.03;
    run(5, 1);
    expect(told).toEqual([]);
  });

  it('tells how much came too late, and when all is well again', () => {
    const { told, run } = rig();
    run(6, 1);
    run(6, 0.8);
    expect(told.at(-1)).toBeCloseTo(0.2, 2);
    run(6, 1);
    expect(told.at(-1)).toBe(0);
  });

  it('doesn’t take a context that was asleep, or a machine that slept, for one that is too slow', () => {
    const { context, told, run } = rig();
    run(6, 1);
    context.state = 'suspended';
    run(6, 0);
    context.state = 'running';
    run(6, 1);
    // Asleep for a minute: no timer fires, no sound is computed, and the clock has gone on.
    const now = performance.now.bind(performance);
    vi.spyOn(performance, 'now').mockImplementation(() => now() + 60_000);
    run(6, 1);
    expect(told).toEqual([]);
  });

  it('ends when it is told to', () => {
    const { told, end, run } = rig();
    end();
    run(10, 0.5);
    expect(told).toEqual([]);
  });
});
