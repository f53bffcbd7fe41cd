import sessionWorklet from '../../worklets/session.worklet.ts?worker&url';
import type { SessionConfig } from '../engine/config.ts';
import { MAX_BUSES, MAX_CHANNELS } from '../engine/config.ts';
import { kernelBytes } from '../engine/kernels.ts';
import type { FromProcessor, ProcessorOptions, ToProcessor } from '../engine/protocol.ts';
import { PROCESSOR_NAME } from '../engine/protocol.ts';
import type { IAudioContext, IAudioWorkletNode } from './audio-library.ts';
import { AudioWorkletNode } from './audio-library.ts';
import { AudioStartError, openContext, wakeContext } from './open-context.ts';

/** Time the processor is given to answer before the start counts as failed, ms. */
const READY_TIMEOUT = 8000;

/**
 * One audio context with the session's one worklet node: made, watched and closed together.
 */
export class EngineHost {
  private constructor(
    readonly context: IAudioContext,
    readonly node: IAudioWorkletNode<IAudioContext>,
    private readonly receive: { handler: (message: FromProcessor) => void },
  ) {}

  /**
   * Starts sound at the session's own rate, so that nothing is resampled on the way out but by the system.
   * @throws AudioStartError with a sentence that says what to do
   */
  static async start(
    sampleRate: number,
    alignmentDbfs: number,
    config: SessionConfig,
    onMessage: (message: FromProcessor) => void,
    onLoss: (reason: string) => void,
  ): Promise<EngineHost> {
    if (!globalThis.isSecureContext) {
      throw new AudioStartError(
        'The browser gives pages like this one no audio worklet. Open it from localhost or over https.',
      );
    }
    const context = openContext(sampleRate);
    try {
      await context.audioWorklet?.addModule(sessionWorklet);
      const bytes = kernelBytes();
      const engine = {
        sampleRate,
        factor: 4 as const,
        alignmentDbfs,
        maxChannels: MAX_CHANNELS,
        maxBuses: MAX_BUSES,
        levels: true,
      };
      const receive = { handler: onMessage };
      const node = await createNode(context, { engine, config, bytes }, receive);
      node.connect(context.destination);
      watch(context, node, onLoss);
      return new EngineHost(context, node, receive);
    } catch (fault) {
      await context.close().catch(() => undefined);
      if (fault instanceof AudioStartError) throw fault;
      throw new AudioStartError(
        `Sound could not be started (${fault instanceof Error ? fault.message : String(fault)}). Reload the page; if it stays so, try another browser.`,
      );
    }
  }

  send(message: ToProcessor, transfer: Transferable[] = []): void {
    this.node.port.postMessage(message, transfer);
  }

  /** Asks a context that the browser has put to sleep to go on; false when it doesn't within a second. */
  wake(): Promise<boolean> {
    return wakeContext(this.context);
  }

  async close(): Promise<void> {
    this.receive.handler = () => undefined;
    this.node.disconnect();
    await this.context.close().catch(() => undefined);
  }
}

/** The node, once its processor has said that it is ready. Hands over a compiled module where the browser allows it. */
async function createNode(
  context: IAudioContext,
  options: ProcessorOptions,
  receive: { handler: (message: FromProcessor) => void },
): Promise<IAudioWorkletNode<IAudioContext>> {
  const module = await (globalThis as { WebAssembly?: typeof WebAssembly }).WebAssembly?.compile(options.bytes);
  for (const processorOptions of module ? [{ ...options, module }, options] : [options]) {
    const node = tryNode(context, processorOptions);
    if (!node) continue;
    await new Promise<void>((resolve, reject) => {
      const timer = setTimeout(() => {
        reject(new AudioStartError('The audio engine did not answer. Reload the page and press Play again.'));
      }, READY_TIMEOUT);
      node.port.onmessage = ({ data }: MessageEvent<FromProcessor>) => {
        if (data.type === 'ready') {
          clearTimeout(timer);
          resolve();
        } else receive.handler(data);
      };
      node.onprocessorerror = () => reject(new AudioStartError('The audio engine stopped itself. Reload the page.'));
    });
    return node;
  }
  throw new AudioStartError('The browser refused the audio engine. Update it or try another one.');
}

function tryNode(context: IAudioContext, processorOptions: ProcessorOptions): IAudioWorkletNode<IAudioContext> | null {
  // The library leaves it undefined where the browser has none.
  if (!AudioWorkletNode) return null;
  try {
    return new AudioWorkletNode(context, PROCESSOR_NAME, {
      numberOfInputs: MAX_CHANNELS,
      numberOfOutputs: 1,
      outputChannelCount: [2],
      channelCountMode: 'max',
      processorOptions: processorOptions as unknown as Record<string, unknown>,
    });
  } catch {
    return null;
  }
}

/** Says when the context is lost: its error event (device gone), a processor error, a state it can't come back from. */
function watch(context: IAudioContext, node: IAudioWorkletNode<IAudioContext>, onLoss: (reason: string) => void): void {
  node.onprocessorerror = () => onLoss('the audio engine stopped itself');
  context.onstatechange = () => {
    if (context.state === 'closed') onLoss('the audio device was closed');
  };
  // The library's contexts don't forward the error event; the native one is not reachable, so a standstill of
  // currentTime (watched by the player) stands in for it.
}
