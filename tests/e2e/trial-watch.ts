/**
 * What could give a blind trial away, collected from a real page: everything the page shows and holds, what it writes
 * and sends, when, and what comes out of it. Nothing here knows what is played.
 */
import type { Page } from 'playwright-core';

/** Everything that was seen of one pair before its answer. */
export interface Sighting {
  /** The page through its shadow roots at each step: elements, attributes, text, places and colours. */
  readonly dom: readonly string[];
  /** The accessibility tree at each step. */
  readonly tree: readonly string[];
  /** All that can be read from the program's objects, by path, at each step. */
  readonly state: readonly Record<string, string>[];
  /** Requests, stored values, messages to workers and other windows, lines on the console. */
  readonly sent: readonly string[];
  /** Milliseconds from the key to the first sound. */
  readonly startMs: number;
}

/** What the page's own patches collect. */
interface Watched {
  sent: string[];
  /** Buffers of the sources that loop, in the order in which they were started. */
  buffers: AudioBuffer[];
  startedAt: number;
  startMs: number;
  recording: boolean;
  recorded: Float32Array[][];
}
type Watching = { watched: Watched };

/**
 * To be called before the page is loaded. What the platform calls random follows from the seed, so that a test sees the
 * same draws at every run.
 */
export async function watch(page: Page, seed: number): Promise<void> {
  await page.addInitScript((start) => {
    let word = start;
    crypto.getRandomValues = ((array: Uint8Array) => {
      const bytes = new Uint8Array(array.buffer, array.byteOffset, array.byteLength);
      for (let i = 0; i < bytes.length; i++) {
        // xorshift32; its high bits are good enough for coins.
        word ^= word << 13;
        word ^= word >>> 17;
        word ^= word << 5;
        bytes[i] = word >>> 24;
      }
      return array;
    }) as Crypto['getRandomValues'];
  }, seed);
  await page.addInitScript(() => {
    const watched: Watched = {
      sent: [],
      buffers: [],
      startedAt: 0,
      startMs: 0,
      recording: false,
      recorded: [],
    };
    (globalThis as unknown as Watching).watched = watched;
    const note = (object: object, method: string, text: (args: unknown[]) => string) => {
      const holder = object as Record<string, (...args: unknown[]) => unknown>;
      const plain = holder[method];
      holder[method] = function (this: unknown, ...args: unknown[]) {
        watched.sent.push(text(args));
        return plain.apply(this, args);
      };
    };
    note(Storage.prototype, 'setItem', ([key]) => `storage ${key}`);
    for (const method of ['put', 'add', 'delete', 'clear']) {
      note(IDBObjectStore.prototype, method, () => `database ${method}`);
    }
    for (const kind of [Worker, MessagePort, BroadcastChannel]) {
      note(kind.prototype, 'postMessage', () => `message by ${kind.name}`);
    }
    note(history, 'pushState', () => 'history');
    note(history, 'replaceState', () => 'history');

    const { start } = AudioBufferSourceNode.prototype;
    AudioBufferSourceNode.prototype.start = function (this: AudioBufferSourceNode, ...args) {
      if (this.loop && this.buffer) watched.buffers.push(this.buffer);
      return start.apply(this, args);
    };
    const code = `registerProcessor('watched-tape', class extends AudioWorkletProcessor {
      process([input]) { if (input.length > 0) this.port.postMessage(input.map((plane) => plane.slice())); return true; }
    });`;
    const connect = AudioNode.prototype.connect as (this: AudioNode, ...args: unknown[]) => unknown;
    const tapes = new WeakMap<BaseAudioContext, Promise<AudioWorkletNode>>();
    const record = async (node: AudioNode) => {
      const { context } = node;
      if (!tapes.has(context)) {
        const address = URL.createObjectURL(new Blob([code], { type: 'text/javascript' }));
        const made = context.audioWorklet.addModule(address).then(() => {
          const tape = new AudioWorkletNode(context, 'watched-tape');
          tape.port.onmessage = ({ data }) => watched.recording && watched.recorded.push(data);
          return tape;
        });
        tapes.set(context, made);
      }
      connect.call(node, await tapes.get(context));
    };
    (AudioNode.prototype as { connect: unknown }).connect = function (this: AudioNode, ...args: unknown[]) {
      if (args[0] instanceof AudioDestinationNode && this.context instanceof AudioContext) void record(this);
      return connect.apply(this, args);
    };
  });
  page.on('request', (request) => void noteOn(page, `request ${request.url()}`));
  page.on('console', (message) => void noteOn(page, `console ${message.text()}`));
}

function noteOn(page: Page, text: string): Promise<void> {
  return page
    .evaluate((line) => void (globalThis as unknown as Watching).watched?.sent.push(line), text)
    .catch(() => {});
}

/** Everything that the page shows, as text. */
export function pageText(page: Page): Promise<string> {
  return page.evaluate(() => {
    const lines: string[] = [];
    const walk = (root: ParentNode) => {
      for (const element of root.querySelectorAll('*')) {
        const attributes = [...element.attributes].map(({ name, value }) => `${name}=${value}`).sort();
        const text = [...element.childNodes].map((node) => (node.nodeType === Node.TEXT_NODE ? node.nodeValue : ''));
        const { x, y, width, height } = element.getBoundingClientRect();
        const { color, backgroundColor, opacity } = getComputedStyle(element);
        lines.push(
          [element.localName, ...attributes, ...text, x, y, width, height, color, backgroundColor, opacity].join(' '),
        );
        if (element.shadowRoot) walk(element.shadowRoot);
      }
    };
    walk(document);
    return [document.title, location.href, document.cookie, JSON.stringify({ ...localStorage }), ...lines].join('\n');
  });
}

/** The accessibility tree without the numbers that only tell nodes apart. */
export async function treeText(page: Page): Promise<string> {
  const session = await page.context().newCDPSession(page);
  const { nodes } = await session.send('Accessibility.getFullAXTree');
  await session.detach();
  return nodes
    .filter(({ ignored }) => !ignored)
    .map(({ role, name, value, description, properties }) =>
      JSON.stringify([
        role?.value,
        name?.value,
        value?.value,
        description?.value,
        properties?.map((p) => [p.name, p.value.value]),
      ]),
    )
    .join('\n');
}

/** Every value that can be read from `levelBest` without calling a method: own and inherited, through getters, deep. */
export function publicState(page: Page): Promise<Record<string, string>> {
  return page.evaluate(() => {
    const found: Record<string, string> = {};
    const seen = new Set<unknown>();
    const isNative = (kind: unknown) => /\[native code\]\s*}$/.test(Function.prototype.toString.call(kind));
    const plain = new Set<unknown>([Object, Array, Map, Set, undefined]);
    const read = (value: unknown, path: string): void => {
      if (typeof value === 'function' || typeof value === 'symbol') return;
      if (typeof value !== 'object' || value === null) {
        found[path] = String(value);
        return;
      }
      if (seen.has(value)) return;
      seen.add(value);
      if (ArrayBuffer.isView(value)) {
        const numbers = value instanceof DataView ? [] : (value as unknown as ArrayLike<number>);
        let sum = 0;
        for (let i = 0; i < numbers.length; i += 1 + Math.floor(numbers.length / 500))
          sum += Number(numbers[i]) * (i + 1);
        found[path] = `${numbers.length} numbers, ${sum}`;
        return;
      }
      if (value instanceof Map || value instanceof Set) {
        let i = 0;
        for (const entry of value) read(entry, `${path}[${i++}]`);
      }
      // Of the browser's own objects the program can't have made a hiding place without a property of its own.
      const opaque = isNative(value.constructor) && !plain.has(value.constructor);
      for (
        let level: object | null = value;
        level && level !== Object.prototype;
        level = Object.getPrototypeOf(level)
      ) {
        for (const key of Reflect.ownKeys(level)) {
          if (key === 'constructor' || level === Array.prototype || level === Map.prototype || level === Set.prototype)
            continue;
          if (opaque && level !== value) continue;
          let inner: unknown;
          try {
            inner = (value as Record<PropertyKey, unknown>)[key];
          } catch {
            continue;
          }
          read(inner, `${path}.${String(key)}`);
        }
      }
    };
    read((globalThis as unknown as { levelBest: unknown }).levelBest, 'levelBest');
    return found;
  });
}

/** Clears what was collected, and starts to wait for the first sound of a pair. */
export function beginPair(page: Page): Promise<void> {
  return page.evaluate(() => {
    const { watched } = globalThis as unknown as Watching;
    watched.sent.length = 0;
    watched.buffers.length = 0;
    const started = (event: KeyboardEvent) => {
      if (event.key !== 'Enter') return;
      removeEventListener('keydown', started, true);
      watched.startedAt = performance.now();
      const { trials } = (globalThis as unknown as { levelBest: { trials: Trials } }).levelBest;
      const release = trials.subscribe(() => {
        if (trials.slot === null) return;
        release();
        watched.startMs = performance.now() - watched.startedAt;
      });
    };
    interface Trials {
      readonly slot: string | null;
      subscribe(listener: () => void): () => void;
    }
    addEventListener('keydown', started, true);
  });
}

export function sentSince(page: Page): Promise<{ sent: string[]; startMs: number }> {
  return page.evaluate(() => {
    const { sent, startMs } = (globalThis as unknown as Watching).watched;
    return { sent: [...sent], startMs };
  });
}

/** The planes that each slot's source plays, first, second, x. */
export async function slotSounds(page: Page): Promise<Float32Array[][]> {
  const texts = await page.evaluate(() =>
    (globalThis as unknown as Watching).watched.buffers.map((buffer) =>
      Array.from({ length: buffer.numberOfChannels }, (_, channel) => {
        const bytes = new Uint8Array(buffer.getChannelData(channel).slice().buffer);
        let text = '';
        for (let i = 0; i < bytes.length; i += 0x8000) text += String.fromCharCode(...bytes.subarray(i, i + 0x8000));
        return btoa(text);
      }),
    ),
  );
  return texts.map((planes) => planes.map(decoded));
}

/** What the loudspeakers get for so many seconds from now on, left and right. */
export async function recorded(page: Page, seconds: number): Promise<Float32Array[]> {
  const planes = await page.evaluate(async (wanted) => {
    const { watched } = globalThis as unknown as Watching;
    watched.recorded = [];
    watched.recording = true;
    while (watched.recorded.length * 128 < wanted * 48_000) await new Promise((resolve) => setTimeout(resolve, 50));
    watched.recording = false;
    const blocks = watched.recorded;
    return [0, 1].map((channel) => {
      const plane = new Float32Array(blocks.length * 128);
      for (const [i, block] of blocks.entries()) plane.set(block[channel] ?? block[0], i * 128);
      const bytes = new Uint8Array(plane.buffer);
      let text = '';
      for (let i = 0; i < bytes.length; i += 0x8000) text += String.fromCharCode(...bytes.subarray(i, i + 0x8000));
      return btoa(text);
    });
  }, seconds);
  return planes.map(decoded);
}

function decoded(base64: string): Float32Array {
  const bytes = Uint8Array.from(Buffer.from(base64, 'base64'));
  return new Float32Array(bytes.buffer);
}
