/** The processor's SIMD peak: independent f32x4 multiplications and additions, nothing else, in WebAssembly. */
import asc from 'assemblyscript/asc';
import { bestOf, warmUp } from './timing.ts';

const CHAINS = 12;
const names = Array.from({ length: CHAINS }, (_, i) => `a${i}`);

const source = `
export function run(times: i32): f32 {
  const m = f32x4.splat(0.999999);
  const c = f32x4.splat(0.000001);
  ${names.map((a, i) => `let ${a} = f32x4.splat(${i}.5);`).join('\n  ')}
  for (let i = 0; i < times; i++) {
    ${names.map((a) => `${a} = f32x4.add(f32x4.mul(${a}, m), c);`).join('\n    ')}
  }
  return f32x4.extract_lane(${names.reduce((sum, a) => `f32x4.add(${sum}, ${a})`)}, 0);
}`;

/** Single-precision multiply-adds per nanosecond. */
export async function simdPeak(): Promise<number> {
  let bytes: Uint8Array<ArrayBuffer> | undefined;
  const { error } = await asc.main(
    ['peak.ts', '--outFile', 'peak.wasm', '--optimizeLevel', '3', '--runtime', 'stub', '--enable', 'simd'],
    {
      readFile: (name: string) => (name === 'peak.ts' ? source : null),
      writeFile: (_name: string, contents: Uint8Array | string) => {
        if (typeof contents !== 'string') bytes = new Uint8Array(contents);
      },
      listFiles: () => [],
    },
  );
  if (error || !bytes) throw error ?? new Error('The peak kernel did not compile.');
  const { run } = new WebAssembly.Instance(new WebAssembly.Module(bytes), {}).exports as {
    run: (times: number) => number;
  };
  const times = 5_000_000;
  warmUp(() => run(times));
  return (times * CHAINS * 4) / (bestOf(7, () => run(times)) * 1e9);
}
