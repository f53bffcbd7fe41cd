/** What a step of undo is called. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Command } from '../../src/session/commands.ts';
import { describeCommand } from '../../src/workbench/describe-command.ts';
import { anyOf, COMMAND_TYPES, richSession, someSession } from '../session/any-command.ts';

describe('a step of undo', () => {
  it.each<[string, Command]>([
    [
      'drive of Microphone melodica stage 1',
      { type: 'set-parameter', rackId: 'melodica', stageId: 'm1', parameterId: 'drive', value: 3 },
    ],
    ['gain of Microphone melodica', { type: 'set-channel', channelId: 'melodica', gainDb: -3 }],
    ['bus of Microphone melodica', { type: 'set-channel', channelId: 'melodica', busId: null }],
    ['removing Microphone melodica', { type: 'remove-channel', channelId: 'melodica' }],
    ['all drives', { type: 'set-all-drives', db: 3 }],
    ['clearing the rack of the mix', { type: 'clear-rack', rackId: 'mix' }],
    [
      'trim in of Microphone melodica stage 1 and 1 more',
      {
        type: 'set-many',
        values: ['trimIn', 'trimOut'].map((parameterId) => ({
          rackId: 'melodica',
          stageId: 'm1',
          parameterId,
          value: 1,
        })),
      },
    ],
    ['side A to clean', { type: 'set-sides', a: 'clean' }],
    ['matching off', { type: 'set-matching', on: false }],
  ])('is called "%s"', (words, command) => {
    expect(describeCommand(someSession(), command)).toBe(words);
  });

  it.each(COMMAND_TYPES)('of %s has words that fit into a sentence, whatever it names', (type) => {
    fc.assert(
      fc.property(anyOf(type), (command) => {
        expect(describeCommand(richSession(), command)).toMatch(/^\S.*\S$/);
      }),
      { numRuns: 50, seed: 24 },
    );
  });
});
