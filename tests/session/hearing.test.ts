/** Mute and solo: what plays, and what is listened to. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Command } from '../../src/session/commands.ts';
import { heardChannels, playingChannels } from '../../src/session/hearing.ts';
import { anyCommand, changedBy } from './any-command.ts';

const mute = (stripId: string): Command => ({ type: 'set-mute', stripId, on: true });
const solo = (stripId: string): Command => ({ type: 'set-solo', stripId, on: true });
const through: Command = { type: 'set-solo-through-buses', on: true };
const heard = (...commands: Command[]) => heardChannels(changedBy(...commands));
const ALL = ['melodica', 'accordion', 'shaker'];

describe('heardChannels', () => {
  it('hears the whole mix without mute and solo', () => {
    expect(heard()).toEqual({ channels: ALL, buses: ['reeds'], solo: [] });
  });

  it('takes a muted channel out of its bus and a muted bus out of the mix', () => {
    expect(heard(mute('melodica'))).toEqual({ channels: ['accordion', 'shaker'], buses: ['reeds'], solo: [] });
    expect(heard(mute('reeds'))).toEqual({ channels: ALL, buses: [], solo: [] });
  });

  it('listens to soloed strips before the buses and drives the buses as in the mix', () => {
    expect(heard(solo('melodica'))).toEqual({ channels: ALL, buses: ['reeds'], solo: ['melodica'] });
    expect(heard(solo('shaker'), solo('reeds')).solo).toEqual(['shaker', 'reeds']);
  });

  it('keeps a muted strip silent when it is soloed', () => {
    expect(heard(solo('melodica'), mute('melodica'))).toEqual({
      channels: ['accordion', 'shaker'],
      buses: ['reeds'],
      solo: [],
    });
  });

  it('through the buses, leaves only what is soloed and the buses on its way', () => {
    expect(heard(through, solo('melodica'))).toEqual({ channels: ['melodica'], buses: ['reeds'], solo: [] });
    expect(heard(through, solo('shaker'))).toEqual({ channels: ['shaker'], buses: [], solo: [] });
    expect(heard(through, solo('reeds'))).toEqual({ channels: ['melodica', 'accordion'], buses: ['reeds'], solo: [] });
    expect(heard(through, solo('reeds'), solo('accordion')).channels).toEqual(['accordion']);
    expect(heard(through)).toEqual(heard());
  });

  it('never lets solo change what plays, unless it is asked to go through the buses', () => {
    fc.assert(
      fc.property(fc.array(anyCommand, { maxLength: 30 }), (commands) => {
        const document = { ...changedBy(...commands), soloThroughBuses: false };
        const { channels, buses } = heardChannels(document);
        const unsoloed = {
          ...document,
          channels: document.channels.map((channel) => ({ ...channel, solo: false })),
          buses: document.buses.map((bus) => ({ ...bus, solo: false })),
        };
        expect({ channels, buses, solo: [] }).toEqual(heardChannels(unsoloed));
        expect(playingChannels(document)).toEqual(heardChannels(unsoloed));
      }),
    );
  });
});
