/** What the worklet puts out while listening, and how far that is from a render. */
import type { Page } from 'playwright-core';
import { GUARD_LATENCY } from '../../src/engine/output-guard.ts';
import { SESSION_LATENCY } from '../../src/engine/session-engine.ts';

/** The part of the workbench that plays and records; it lives in the page. */
export interface PlayingWorkbench {
  player: {
    play(): Promise<void>;
    stop(): void;
    seek(seconds: number): void;
    setSide(side: string): void;
    record(on: boolean): void;
  };
  playback: { recorded: ((planes: Float32Array[]) => void) | null };
}

export type TakeSide = 'clean' | 'coloured' | 'added';

export interface Take {
  readonly side: TakeSide;
  readonly seconds: number;
  /** The switch is moved to this side after so many seconds. */
  readonly moved?: { readonly side: TakeSide; readonly after: number };
}

/** Plays the session from its start, as it was after a rest, and returns both planes of what the loudspeakers got. */
export async function recordTake(page: Page, take: Take): Promise<Float32Array[]> {
  const planes = await page.evaluate(async ({ side, seconds, moved }) => {
    const workbench = (globalThis as unknown as { levelBest: PlayingWorkbench & { document: { sampleRate: number } } })
      .levelBest;
    const wait = (time: number) => new Promise((resolve) => setTimeout(resolve, 1000 * time));
    const blocks: Float32Array[][] = [];
    workbench.player.stop();
    workbench.player.seek(0);
    workbench.player.setSide(side);
    // Let the engine's slow states come to rest, so that the take starts from silence as a render does.
    await workbench.player.play();
    workbench.player.stop();
    await wait(1.5);
    workbench.player.seek(0);
    workbench.playback.recorded = (recorded) => blocks.push(recorded);
    workbench.player.record(true);
    await workbench.player.play();
    // By the sound that came, not by the clock: on a busy machine sound comes late.
    const before = blocks.length;
    const come = async (time: number) => {
      while ((blocks.length - before) * (blocks[0]?.[0].length ?? 0) < time * workbench.document.sampleRate)
        await wait(0.02);
    };
    if (moved) {
      await come(moved.after);
      workbench.player.setSide(moved.side);
    }
    await come(seconds);
    workbench.player.record(false);
    workbench.player.stop();
    workbench.playback.recorded = null;
    return [0, 1].map((plane) => {
      const all = new Float32Array(blocks.length * blocks[0][0].length);
      blocks.forEach((block, index) => {
        all.set(block[plane], index * block[plane].length);
      });
      let binary = '';
      const bytes = new Uint8Array(all.buffer);
      for (let i = 0; i < bytes.length; i += 32768) binary += String.fromCharCode(...bytes.subarray(i, i + 32768));
      return btoa(binary);
    });
  }, take);
  return planes.map((text) => {
    const bytes = Buffer.from(text, 'base64');
    return new Float32Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength));
  });
}

export interface Distance {
  /** Frames by which the take is later. */
  readonly delay: number;
  /** Peak of the difference, dBFS. */
  readonly peakDbfs: number;
}

/**
 * Finds the whole-sample delay of a take against a render by correlating a passage from one second on, and the peak of
 * the difference from 0.2 s (after the soft start) to `until` seconds.
 */
export function distance(take: readonly Float32Array[], render: readonly Float32Array[], rate: number, until: number) {
  const start = rate;
  const length = 4096;
  let delay = 0;
  let most = -Infinity;
  for (let lag = 0; lag < rate / 2; lag++) {
    let sum = 0;
    for (let i = 0; i < length; i += 3) sum += render[0][start + i] * take[0][start + i + lag];
    if (sum > most) {
      most = sum;
      delay = lag;
    }
  }
  let peak = 0;
  for (let side = 0; side < 2; side++) {
    for (let i = Math.round(0.2 * rate); i < until * rate; i++) {
      peak = Math.max(peak, Math.abs(render[side][i] - take[side][i + delay]));
    }
  }
  if (delay < SESSION_LATENCY + GUARD_LATENCY) throw new Error(`The take is only ${delay} frames late.`);
  return { delay, peakDbfs: 20 * Math.log10(peak) } satisfies Distance;
}
