/**
 * Blind trials in the real browser, by keyboard: nothing that a page can show, hold, write or send, no time and no level
 * tells which sound is which before the end; the record stays with the session; and a listener who goes by nothing but
 * what sounds is led to the amount that they like best.
 */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { RecordedTrial, TrialRecord } from '../../src/blind/trial-record.ts';
import { slotsOf } from '../../src/blind/trial-record.ts';
import { measureLevels } from '../../src/dsp/levels.ts';
import { seededRandom } from '../../src/dsp/random.ts';
import type { SessionDocument } from '../../src/session/document.ts';
import { type Ebur128, loadEbur128 } from '../support/oracle-ebur128.ts';
import { type App, openApp, settled } from './app.ts';
import {
  beginPair,
  pageText,
  publicState,
  recorded,
  type Sighting,
  sentSince,
  slotSounds,
  treeText,
  watch,
} from './trial-watch.ts';

const RATE = 48_000;

interface Workbench {
  readonly document: SessionDocument;
  readonly trials: {
    readonly phase: string;
    readonly slot: string | null;
    readonly state: { readonly phase: string } | null;
  };
  dispatch(command: unknown): void;
}
type Global = { levelBest: Workbench };

let app: App;
let page: Page;
let meter: Ebur128;

beforeAll(async () => {
  meter = await loadEbur128();
  app = await openApp({ demoSeconds: 10 });
  page = app.page;
  await watch(page, 12);
  await page.reload();
  await settled(page);
});
afterAll(async () => {
  await app?.close();
});

const press = async (...keys: string[]) => {
  for (const key of keys) await page.keyboard.press(key);
};
const phase = () => page.evaluate(() => (globalThis as unknown as Global).levelBest.trials.phase);
const sounding = (slot: string) =>
  page.waitForFunction((wanted) => (globalThis as unknown as Global).levelBest.trials.slot === wanted, slot);
const records = () =>
  page.evaluate(() =>
    (globalThis as unknown as Global).levelBest.document.trials.map(({ record }) => record as unknown as TrialRecord),
  );

/** Goes on by Tab until the focus is on the control of this name. */
async function tabTo(name: string): Promise<void> {
  for (let i = 0; i < 80; i++) {
    await press('Tab');
    const focused = await page.evaluate(() => {
      let element = document.activeElement;
      while (element?.shadowRoot?.activeElement) element = element.shadowRoot.activeElement;
      if (!(element instanceof HTMLElement)) return '';
      const labels = (element as HTMLInputElement).labels;
      return (labels?.length ? labels[0].textContent : (element.ariaLabel ?? element.textContent)) ?? '';
    });
    if (focused.replace(/\s+/g, ' ').trim().startsWith(name)) return;
  }
  throw new Error(`Tab doesn't lead to "${name}".`);
}

async function prepare(): Promise<void> {
  await tabTo('Length, s');
  await press('Home');
  await tabTo('Prepare the trial');
  await press('Enter');
  await page.waitForFunction(() => (globalThis as unknown as Global).levelBest.trials.phase === 'running');
}

/** Everything that can be seen of one pair, up to its answer, and what sounds in it. */
async function seePair(keys: readonly string[]): Promise<Sighting> {
  const [dom, tree, state]: [string[], string[], Record<string, string>[]] = [[], [], []];
  const look = async () => {
    dom.push(await pageText(page));
    tree.push(await treeText(page));
    state.push(await publicState(page));
  };
  await beginPair(page);
  await press('Enter');
  await sounding('first');
  await look();
  for (const key of keys) {
    await press(key);
    await look();
  }
  return { dom, tree, state, ...(await sentSince(page)) };
}

/** How far the numbers of two groups are apart, in standard deviations of the rank sum (Mann-Whitney). */
function rankDistance(values: readonly number[], group: readonly number[]): number {
  const order = [...values.keys()].sort((a, b) => values[a] - values[b]);
  const n1 = group.filter((one) => one === 1).length;
  const n0 = values.length - n1;
  if (n0 === 0 || n1 === 0) return 0;
  const sum = order.reduce((total, index, rank) => total + (group[index] === 1 ? rank + 1 : 0), 0);
  return (sum - (n1 * (values.length + 1)) / 2) / Math.sqrt((n0 * n1 * (values.length + 1)) / 12);
}

/** The gain at which `played` is a stretch of the loop, dB. @throws Error where it is not, to −60 dB */
function gainOver(loop: Float32Array, played: Float32Array): number {
  const from = 2048;
  const at = (offset: number, count: number) => {
    let [both, own, other] = [0, 0, 0];
    for (let i = 0; i < count; i++) {
      const [a, b] = [loop[(offset + i) % loop.length], played[from + i]];
      both += a * b;
      own += a * a;
      other += b * b;
    }
    return { gain: both / own, match: both / Math.sqrt(own * other) };
  };
  let [best, most] = [0, 0];
  for (let offset = 0; offset < loop.length; offset++) {
    // Nearly all places are told from the right one by a few samples.
    if (!(at(offset, 64).match > 0.9)) continue;
    const { match } = at(offset, 1024);
    if (match > most) [best, most] = [offset, match];
  }
  const { gain, match } = at(best, 16_000);
  if (!(1 - match ** 2 < 1e-6)) throw new Error(`What sounds is not the slot's sound: they agree to ${match}.`);
  return 20 * Math.log10(gain);
}

const withoutNumber = (text: string) => text.replace(/(Pair\s+)\d+/g, '$1n');
const sameSound = (a: Float32Array[], b: Float32Array[]) => a.every((plane, i) => plane.every((x, n) => x === b[i][n]));

describe('an ABX by keyboard', () => {
  const seen: { sighting: Sighting; sounds: Float32Array[][] }[] = [];
  let record: TrialRecord;
  const live: number[][] = [];

  it('goes from the key B to the outcome', async () => {
    await press('b');
    await tabTo('Pairs that count');
    // Twelve pairs that count; five is the left end.
    await press('Home', ...new Array(7).fill('ArrowUp'));
    await prepare();
    expect(await page.locator('trial-sheet').count()).toBe(1);
    expect(await page.locator('signal-path, level-panel, transport-bar, matched-switch, spectrum-plot').count()).toBe(
      0,
    );

    const answers = seededRandom(8);
    while ((await phase()) === 'running') {
      const sighting = await seePair(['2', '3', 'f']);
      const sounds = await slotSounds(page);
      if (seen.length % 4 === 3) live.push(await liveGains(['1', '2', '3'], sounds));
      seen.push({ sighting, sounds });
      await press(answers() < 0.5 ? 'f' : 's', 'Enter');
    }
    expect(await phase()).toBe('done');
    [record] = await records();
    expect(record.ended).toBe('complete');
    expect(record.trials.length).toBe(seen.length);
    expect(record.trials.filter(({ role }) => role === 'scored').length).toBe(12);
    expect(await page.locator('trial-outcome .sentence').textContent()).toMatch(/of 12 right/);
  });

  /**
   * By how much what the loudspeakers get is louder than each slot's sound, dB. The place in the loop is found by
   * comparing; a recording that isn't that sound throws.
   */
  async function liveGains(keys: readonly string[], sounds: Float32Array[][]): Promise<number[]> {
    const gains: number[] = [];
    for (const [slot, key] of keys.entries()) {
      await press(key);
      await page.waitForTimeout(400);
      const [played] = await recorded(page, 0.5);
      gains.push(gainOver(sounds[slot][0], played));
    }
    return gains;
  }

  /** Pairs after training with what was drawn for them. */
  const pairs = () =>
    record.trials.flatMap((trial, i) =>
      trial.role === 'training' ? [] : [{ trial, digits: String(i + 1).length, ...seen[i] }],
    );

  it('really drew both orders and both X, and the audio alone got them', () => {
    const coins = pairs().map(({ trial }) => `${trial.orderCoin}${trial.xCoin}`);
    expect(new Set(coins).size).toBe(4);
    // What sounds does tell, so the watch would have found it: X is one of the two to the bit, as the coin says.
    for (const { trial, sounds } of pairs()) {
      expect(sounds.length).toBe(3);
      expect(sameSound(sounds[2], sounds[trial.xCoin as number])).toBe(true);
      if (trial.role === 'scored') expect(sameSound(sounds[0], sounds[1])).toBe(false);
    }
    const [one, other] = [0, 1].map((coin) =>
      pairs().filter(({ trial }) => trial.role === 'scored' && trial.orderCoin === coin),
    );
    expect(sameSound(one[0].sounds[0], one[1].sounds[0])).toBe(true);
    expect(sameSound(one[0].sounds[0], other[0].sounds[1])).toBe(true);
  });

  it('shows the same page and the same accessibility tree whatever was drawn', () => {
    const [first] = pairs();
    for (const { sighting, digits } of pairs()) {
      // A number of two digits is wider, and what stands beside it moves along.
      const other = pairs().find((one) => one.digits === digits)?.sighting as Sighting;
      expect(sighting.dom.map(withoutNumber)).toEqual(other.dom.map(withoutNumber));
      expect(sighting.tree.map(withoutNumber)).toEqual(other.tree.map(withoutNumber));
    }
    expect(pairs().filter(({ digits }) => digits === 1).length).toBeGreaterThan(5);
    expect(pairs().filter(({ digits }) => digits === 2).length).toBeGreaterThan(5);
    expect(first.sighting.dom[0]).toContain('X is the second');
    expect(first.sighting.tree[0]).toContain('X is the second');
  });

  it('stores and sends nothing between the start of a pair and its answer', () => {
    for (const { sighting } of pairs()) expect(sighting.sent).toEqual([]);
  });

  it('holds nothing readable that goes with what was drawn', () => {
    const all = pairs();
    const varying = new Set<string>();
    for (const step of all[0].sighting.state.keys()) {
      const paths = new Set(all.flatMap(({ sighting }) => Object.keys(sighting.state[step])));
      for (const path of paths) {
        const values = all.map(({ sighting }) => sighting.state[step][path]);
        if (values.every((value) => value === values[0])) continue;
        varying.add(path);
      }
    }
    // The number of the pair is all that changes, among much else that could be read.
    expect([...varying]).toEqual(['levelBest.trials.state.trial']);
    expect(Object.keys(all[0].sighting.state[0]).length).toBeGreaterThan(500);
  });

  it('starts every pair after the same time', () => {
    const all = pairs();
    const times = all.map(({ sighting }) => sighting.startMs);
    for (const coin of ['orderCoin', 'xCoin'] as const) {
      const distance = rankDistance(
        times,
        all.map(({ trial }) => trial[coin] as number),
      );
      expect(Math.abs(distance), `${coin}: ${times.map((time) => time.toFixed(0)).join(' ')} ms`).toBeLessThan(4);
    }
  });

  it('plays every slot at the same loudness, by another meter', () => {
    const apart = ({ trial, sounds }: { trial: RecordedTrial; sounds: Float32Array[][] }) => {
      const { first, second } = slotsOf(trial);
      const [a, b] = [0, 1].map((slot) => meter.integrated(sounds[slot], RATE));
      return Math.abs(b - second.extraGainDb - (a - first.extraGainDb));
    };
    const largest = Math.max(...pairs().map(apart));
    console.log(`slots within ${largest.toFixed(4)} LU by ebur128-wasm`);
    expect(largest).toBeLessThanOrEqual(0.1);
  });

  it('puts every slot out at the same level', () => {
    expect(live.length).toBe(4);
    const all = live.flat();
    console.log(
      `live gains of ${all.length} slots: ${Math.min(...all).toFixed(4)} to ${Math.max(...all).toFixed(4)} dB`,
    );
    expect(Math.max(...all) - Math.min(...all)).toBeLessThanOrEqual(0.01);
    expect(Math.max(...all), 'the monitor is at 0 dB and the sounds are only attenuated').toBeLessThanOrEqual(0.001);
  });

  it('stays with the session', async () => {
    await tabTo('Back to the session');
    await press('Enter');
    await page.waitForTimeout(500);
    await page.reload();
    await settled(page);
    expect(await records()).toEqual([record]);
    await press('b');
    expect(await page.locator('earlier-trials .found').allTextContents()).toHaveLength(1);
    await tabTo('Open');
    await press('Enter');
    expect(await page.locator('trial-outcome .sentence').textContent()).toMatch(/of 12 right/);
    await tabTo('Back to the session');
    await press('Enter');
    expect(app.complaints).toEqual([]);
  });
});

describe('a drive search by keyboard', () => {
  /** Peak over RMS falls as the stage is driven harder: that is all this listener hears. */
  const crestOf = (planes: Float32Array[]) => {
    const { samplePeak, meanSquare } = measureLevels(planes);
    return 20 * Math.log10(samplePeak) - 10 * Math.log10(meanSquare);
  };
  const driveNow = () =>
    page.evaluate(() => {
      const { stages } = (globalThis as unknown as Global).levelBest.document.mix.rack;
      return Number(stages[stages.length - 1].params.drive);
    });

  it('leads a listener who goes by what sounds to the amount they like, applies it and undoes it', async () => {
    const before = await driveNow();
    await press('b');
    await tabTo('Can I hear it?');
    await press('ArrowRight', 'ArrowRight');
    await tabTo('Control');
    await press('End');
    await prepare();

    const noise = seededRandom(21);
    const crests: [number, number][] = [];
    let liked = Number.NaN;
    let range = 1;
    while ((await phase()) === 'running') {
      await beginPair(page);
      await press('Enter');
      await sounding('first');
      const [first, second] = (await slotSounds(page)).map(crestOf);
      crests.push([first, second]);
      // The training pair is clean against the most; halfway in between is what this listener likes.
      if (crests.length === 1) {
        liked = (first + second) / 2;
        range = Math.abs(first - second);
      }
      const ahead = (Math.abs(first - liked) - Math.abs(second - liked)) / range;
      const choice = noise() < 1 / (1 + Math.exp(-80 * ahead)) ? 's' : 'f';
      await press('2', choice, 'Enter');
    }
    const record = (await records()).at(-1) as TrialRecord;
    expect(range, 'the stage does change the sound').toBeGreaterThan(0.2);
    expect(record.plan.kind).toBe('drive-search');
    const found = record.stated.preferredDb as number;
    // The amounts that were played, each with the crest factor that was heard.
    const heard = record.trials.flatMap((trial, i) => {
      const { first, second } = slotsOf(trial);
      return [first, second].flatMap(({ amountDb, overdriven }, slot) =>
        amountDb === null || overdriven ? [] : [{ amountDb, off: Math.abs(crests[i][slot] - liked) }],
      );
    });
    const nearest = heard.reduce((best, one) => (one.off < best.off ? one : best));
    console.log(
      `liked most of what was played: ${nearest.amountDb} dB; found ${found.toFixed(2)} dB in ${record.trials.length} pairs`,
    );
    expect(record.stated.verdict).toBe('amount');
    expect(Math.abs(found - nearest.amountDb)).toBeLessThan(2.5);

    expect(await page.locator('outcome-plot svg .answer').count()).toBe(record.stated.counted);
    await tabTo('Set ');
    await press('Enter');
    expect(Math.abs((await driveNow()) - found)).toBeLessThan(0.06);
    expect(await driveNow()).not.toBe(before);
    await tabTo('Back to the session');
    await press('Enter', 'Control+z');
    expect(await driveNow()).toBe(before);
    expect((await records()).length, 'undo leaves the record').toBe(2);
    expect(app.complaints).toEqual([]);
  });
});
