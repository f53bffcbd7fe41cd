/**
 * The few parts of the WebAssembly API that the engine uses. The numeric core is compiled without the DOM library,
 * and every host (AudioWorklet, worker, Node) has these.
 */
declare namespace WebAssembly {
  interface Memory {
    readonly buffer: ArrayBuffer;
    grow(pages: number): number;
  }
  class Module {
    constructor(bytes: ArrayBufferView | ArrayBuffer);
    private readonly brand: undefined;
  }
  class Instance {
    constructor(module: Module, imports?: Record<string, Record<string, unknown>>);
    readonly exports: Record<string, unknown>;
  }
}
