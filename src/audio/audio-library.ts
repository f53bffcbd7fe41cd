/**
 * The only place that knows the Web Audio library. It lacks a few things of the platform (the context's error event,
 * output latency), which are reached here and nowhere else.
 */

export type {
  IAudioBuffer,
  IAudioBufferSourceNode,
  IAudioContext,
  IAudioWorkletNode,
  IBaseAudioContext,
  IGainNode,
  TContext,
} from 'standardized-audio-context';
export { AudioContext, AudioWorkletNode, OfflineAudioContext } from 'standardized-audio-context';
