import type { Kernels } from './kernels.ts';

const PAGE = 65536;

/**
 * Hands out the kernels' memory, once, at configuration; nothing is freed. Views are made anew after each growth, so
 * take them from here when you use them and don't keep them across allocations.
 */
export class Heap {
  private next: number;
  f32: Float32Array;
  f64: Float64Array;
  u32: Uint32Array;

  constructor(private readonly kernels: Kernels) {
    this.next = kernels.heapStart();
    this.f32 = new Float32Array(kernels.memory.buffer);
    this.f64 = new Float64Array(kernels.memory.buffer);
    this.u32 = new Uint32Array(kernels.memory.buffer);
  }

  /** Address of `bytes` zeroed bytes, aligned to 16. Allocates; never call it on the audio thread while playing. */
  allocate(bytes: number): number {
    const address = (this.next + 15) & ~15;
    this.next = address + bytes;
    const missing = this.next - this.kernels.memory.buffer.byteLength;
    if (missing > 0) {
      this.kernels.memory.grow(Math.ceil(missing / PAGE));
      this.f32 = new Float32Array(this.kernels.memory.buffer);
      this.f64 = new Float64Array(this.kernels.memory.buffer);
      this.u32 = new Uint32Array(this.kernels.memory.buffer);
    }
    return address;
  }

  /** Sets `bytes` bytes (a multiple of 4) to zero. */
  clear(address: number, bytes: number): void {
    this.f32.fill(0, address >> 2, (address + bytes) >> 2);
  }
}
