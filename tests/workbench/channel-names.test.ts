import { describe, expect, it } from 'vitest';
import { channelNames } from '../../src/workbench/channel-names.ts';

const placed = (...paths: string[]) =>
  paths.map((path) => ({ name: path.split('/').at(-1) as string, type: '', relativePath: path }));

describe('names of channels', () => {
  it('are those of the files without their endings', () => {
    expect(channelNames(placed('a/Frame drum.close.wav', 'Bass', '.wav'), [])).toEqual([
      'Frame drum.close',
      'Bass',
      '.wav',
    ]);
  });

  it('have the nearest folder that tells them apart', () => {
    expect(
      channelNames(placed('s/day 1/close/kick.wav', 's/day 2/close/kick.wav', 's/day 2/close/hat.wav'), []),
    ).toEqual(['kick (day 1)', 'kick (day 2)', 'hat']);
    expect(channelNames(placed('x/a/kick.wav', 'x/b/kick.wav', 'y/a/kick.wav'), [])).toEqual([
      'kick (x, a)',
      'kick (x, b)',
      'kick (y, a)',
    ]);
    expect(channelNames(placed('kick.wav', 'room/kick.wav'), [])).toEqual(['kick', 'kick (room)']);
  });

  it('have a number where there is no folder to tell, or the name is taken', () => {
    expect(channelNames(placed('kick.wav', 'kick.flac', 'KICK.aif'), [])).toEqual(['kick', 'kick 2', 'KICK 3']);
    expect(channelNames(placed('kick.wav', 'hat.wav'), ['Kick', 'kick 2', 'bass'])).toEqual(['kick 3', 'hat']);
  });
});
