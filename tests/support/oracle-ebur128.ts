/// <reference path="../../types/webassembly.d.ts" />
/** ebur128-wasm, a port of the reference C library: integrated loudness and true peak of one or two channels. */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';

export interface Ebur128 {
  /** LUFS; −Infinity if no block passes. */
  integrated(channels: readonly Float32Array[], sampleRate: number): number;
  /** dBTP, the larger of both channels. */
  truePeak(channels: readonly Float32Array[], sampleRate: number): number;
}

interface Exports {
  ebur128_integrated_stereo(rate: number, left: Float32Array, right: Float32Array): number;
  ebur128_true_peak_stereo(rate: number, left: Float32Array, right: Float32Array): number;
}

/**
 * Loads the package. Its entry imports the .wasm file as a module, which Node can't: so its glue is evaluated with a
 * setter in that import's place, and the instance is handed in.
 */
export async function loadEbur128(): Promise<Ebur128> {
  const folder = join(createRequire(import.meta.url).resolve('ebur128-wasm/package.json'), '..');
  const glue = readFileSync(join(folder, 'ebur128_wasm_bg.js'), 'utf8').replace(
    /^import \* as wasm.*$/m,
    'let wasm; export function setWasm(exports) { wasm = exports; }',
  );
  const module = await import(/* @vite-ignore */ `data:text/javascript;base64,${Buffer.from(glue).toString('base64')}`);
  const bytes = readFileSync(join(folder, 'ebur128_wasm_bg.wasm'));
  const instance = new WebAssembly.Instance(new WebAssembly.Module(bytes), { './ebur128_wasm_bg.js': module });
  module.setWasm(instance.exports);
  const { ebur128_integrated_stereo, ebur128_true_peak_stereo } = module as Exports;
  // One channel is played on both sides, as our meters count it.
  const pair = (channels: readonly Float32Array[]) => [channels[0], channels[1] ?? channels[0]] as const;
  return {
    integrated: (channels, sampleRate) => ebur128_integrated_stereo(sampleRate, ...pair(channels)),
    truePeak: (channels, sampleRate) => ebur128_true_peak_stereo(sampleRate, ...pair(channels)),
  };
}
