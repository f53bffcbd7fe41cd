import { AudioFileError } from './audio-file-error.ts';
import { wavChunks } from './riff.ts';
import { sniffAiff } from './sniff-aiff.ts';
import { afterId3, sniffMp3 } from './sniff-mp3.ts';
import { sniffMp4 } from './sniff-mp4.ts';
import { sniffOgg } from './sniff-ogg.ts';
import { fieldReader, known, type SoundShape, streamInfoShape } from './sound-shape.ts';

type FileFormat = 'wav' | 'flac' | 'mp3' | 'ogg' | 'm4a' | 'aiff';

export interface SniffedFile extends SoundShape {
  format: FileFormat;
}

/**
 * Tells a sound file's format by its magic bytes, and its own sample rate and channel count where its header gives them.
 *
 * @throws AudioFileError if it is empty or of no kind that is known here.
 */
export function sniff(bytes: Uint8Array): SniffedFile {
  if (bytes.length === 0) throw new AudioFileError('The file is empty; copy it again from its source.');
  const { text } = fieldReader(bytes);
  if (['RIFF', 'RIFX', 'RF64', 'BW64'].includes(text(0, 4)) && text(8, 4) === 'WAVE') {
    return { format: 'wav', ...wavShape(bytes) };
  }
  if (text(0, 4) === 'FORM' && ['AIFF', 'AIFC'].includes(text(8, 4))) return { format: 'aiff', ...sniffAiff(bytes) };
  if (text(0, 4) === 'OggS') return { format: 'ogg', ...sniffOgg(bytes) };
  if (text(4, 4) === 'ftyp') return { format: 'm4a', ...sniffMp4(bytes) };
  // Both FLAC and MP3 are found behind an ID3v2 tag.
  const start = afterId3(bytes);
  if (text(start, 4) === 'fLaC') return { format: 'flac', ...streamInfoShape(bytes, start + 8) };
  const mp3 = sniffMp3(bytes, start);
  if (mp3) return { format: 'mp3', ...mp3 };
  // A tag with damaged frames behind it is still meant as an MP3; a lone sync word is not.
  if (start > 0) return { format: 'mp3' };
  throw new AudioFileError('It is none of WAV, FLAC, AIFF, MP3, Ogg or M4A; export it as WAV or FLAC.');
}

function wavShape(bytes: Uint8Array): SoundShape {
  const chunks = wavChunks(bytes);
  const fmt = chunks.get('fmt ');
  if (!fmt || fmt.start + 16 > bytes.length) return {};
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const frameBytes = view.getUint16(fmt.start + 12, true);
  const frames = frameBytes > 0 ? Math.floor((chunks.get('data')?.size ?? 0) / frameBytes) : 0;
  return known(view.getUint32(fmt.start + 4, true), view.getUint16(fmt.start + 2, true), frames);
}
