/**
 * The parts of the library "wavefile" that are used. The built file is imported by its path: it is CommonJS wherever it
 * runs, while the package's own entries give a class in one place and a namespace in another.
 */
declare module 'wavefile/dist/wavefile.js' {
  export interface WaveFormat {
    chunkSize: number;
    audioFormat: number;
    numChannels: number;
    sampleRate: number;
    blockAlign: number;
    bitsPerSample: number;
    validBitsPerSample: number;
    dwChannelMask: number;
    subformat: number[];
  }
  export interface WaveBroadcastExtension {
    chunkId: string;
    description: string;
    originator: string;
    originatorReference: string;
    originationDate: string;
    originationTime: string;
    timeReference: [number, number];
    version: number;
    loudnessValue: number;
    loudnessRange: number;
    maxTruePeakLevel: number;
    maxMomentaryLoudness: number;
    maxShortTermLoudness: number;
    codingHistory: string;
  }
  export interface WaveFile {
    chunkSize: number;
    fmt: WaveFormat;
    fact: { chunkId: string; chunkSize: number; dwSampleLength: number };
    data: { chunkId: string; chunkSize: number; samples: Uint8Array };
    bext: WaveBroadcastExtension;
    fromScratch(channels: number, sampleRate: number, bits: string, samples: ArrayLike<number>): void;
    fromBuffer(bytes: Uint8Array, samples?: boolean): void;
    toBuffer(): Uint8Array;
  }
  const library: { WaveFile: new () => WaveFile };
  export default library;
}
