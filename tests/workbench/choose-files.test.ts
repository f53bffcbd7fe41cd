import { describe, expect, it } from 'vitest';
import { chooseFiles, commonFolder } from '../../src/workbench/choose-files.ts';

const file = (path: string, type = '') => ({ name: path.split('/').at(-1) as string, type, webkitRelativePath: path });
const names = (...paths: string[]) => chooseFiles(paths.map((path) => file(path)));

describe('which files are read', () => {
  it('takes numbers as numbers, in every part of the path', () => {
    const { audio } = names('s/mic 10.wav', 's/mic 2.wav', 's/Mic 1.wav', 's/10/a.wav', 's/9/b.wav');
    expect(audio.map(({ webkitRelativePath }) => webkitRelativePath)).toEqual([
      's/9/b.wav',
      's/10/a.wav',
      's/Mic 1.wav',
      's/mic 2.wav',
      's/mic 10.wav',
    ]);
  });

  it('is the same whatever order they come in', () => {
    const paths = ['a/É.wav', 'a/e.wav', 'a/E.wav', 'a/z.wav', 'a/02.wav', 'a/2.wav'];
    const forth = names(...paths).audio.map((one) => one.webkitRelativePath);
    const back = names(...paths.toReversed()).audio.map((one) => one.webkitRelativePath);
    expect(back).toEqual(forth);
  });

  it('counts what is not audio, and knows nothing of hidden files', () => {
    const { audio, others } = names(
      's/bass.wav',
      's/notes.txt',
      's/session.json',
      's/.DS_Store',
      's/._bass.wav',
      's/.trash/old.wav',
      '__MACOSX/s/._bass.wav',
      's/Thumbs.db',
      's/take',
    );
    expect(audio.map(({ name }) => name)).toEqual(['bass.wav', 'take']);
    expect(others).toEqual(['notes.txt', 'session.json']);
  });

  it('believes the browser where it knows the kind, and reads the path of a drop', () => {
    const dropped = [
      { name: 'b.sd2', type: 'audio/x-sd2', relativePath: './b.sd2' },
      { name: 'a.wav', type: '', relativePath: '/stems/a.wav' },
    ];
    expect(chooseFiles(dropped).audio.map(({ name }) => name)).toEqual(['b.sd2', 'a.wav']);
  });

  it('names the folder that all came from', () => {
    expect(commonFolder([file('stems/a.wav'), file('stems/far/b.wav')])).toBe('stems');
    expect(commonFolder([file('stems/a.wav'), file('more/b.wav')])).toBeNull();
    expect(commonFolder([file('a.wav')])).toBeNull();
    expect(commonFolder([{ name: 'a.wav', type: '', relativePath: '/stems/a.wav' }])).toBe('stems');
    expect(commonFolder([])).toBeNull();
  });
});
