/** STREAMINFO as the library tells it. */
export interface StreamInfo {
  total_samples: number;
  min_framesize: number;
  max_framesize: number;
  /** Hexadecimal. */
  md5sum: string;
}

/** A decoded block's description. */
interface BlockInfo {
  blocksize: number;
  sampleRate: number;
  channels: number;
  bitsPerSample: number;
}

/**
 * The parts of the library that are used. Declared here, since its own types name a `TypedArray` that means another
 * thing, or nothing, in each of our builds.
 */
export interface FlacLibrary {
  isReady(): boolean;
  on(event: 'ready', listener: () => void): void;
  create_libflac_decoder(verify: boolean): number;
  init_decoder_stream(
    decoder: number,
    read: (wanted: number) => { buffer: Uint8Array; readDataLength: number; error: boolean },
    write: (channels: Uint8Array[], info: BlockInfo) => void,
    error: (code: number, message: string) => void,
    metadata: (info: StreamInfo | undefined) => void,
  ): number;
  FLAC__stream_decoder_process_until_end_of_stream(decoder: number): boolean;
  FLAC__stream_decoder_finish(decoder: number): boolean;
  FLAC__stream_decoder_delete(decoder: number): void;
  create_libflac_encoder(
    sampleRate: number,
    channels: number,
    bits: number,
    level: number,
    totalFrames: number,
    verify: boolean,
    blockSize: number,
  ): number;
  init_encoder_stream(
    encoder: number,
    write: (bytes: Uint8Array) => void,
    metadata: (info: StreamInfo | undefined) => void,
  ): number;
  FLAC__stream_encoder_process(encoder: number, channels: Int32Array[], frames: number): boolean;
  FLAC__stream_encoder_finish(encoder: number): boolean;
  FLAC__stream_encoder_delete(encoder: number): void;
}

let loading: Promise<FlacLibrary> | undefined;

/**
 * The FLAC reference codec as one JavaScript file (libflacjs, MIT), loaded when first needed; one instance a host.
 *
 * Of the package's variants this is the only one that carries its code and its memory image inside, so that nothing is
 * fetched at run time: the others ask for a .wasm or .mem file by a path that neither a bundler nor a worker knows.
 */
export function loadFlacLibrary(): Promise<FlacLibrary> {
  loading ??= load();
  return loading;
}

async function load(): Promise<FlacLibrary> {
  // Workaround 1: the file replaces the page's fetch by one with a fallback to XMLHttpRequest. Ours is put back.
  const scope = globalThis as { fetch?: unknown };
  const ownFetch = scope.fetch;
  const library = (await import('libflacjs/dist/libflac.js')) as unknown as { default: FlacLibrary };
  if (ownFetch !== undefined) scope.fetch = ownFetch;
  const flac = library.default;
  if (!flac.isReady()) {
    await new Promise<void>((resolve) => {
      flac.on('ready', () => resolve());
    });
  }
  return flac;
}

/**
 * The encoder writes its STREAMINFO before it knows frame sizes and checksum, and can't seek back in a stream, so they
 * are filled in here: after 'fLaC' and a four-byte block header, at bytes 4 and 7 (three each, big-endian) and 18.
 */
export function completeStreamInfo(bytes: Uint8Array, info: StreamInfo): void {
  const body = 8;
  const put = (at: number, value: number) => {
    bytes.set([(value >> 16) & 255, (value >> 8) & 255, value & 255], at);
  };
  put(body + 4, info.min_framesize);
  put(body + 7, info.max_framesize);
  for (let i = 0; i < 16; i++) bytes[body + 18 + i] = Number.parseInt(info.md5sum.slice(2 * i, 2 * i + 2), 16);
}
