/** What the session knows of the engine without importing it is what the engine declares. */
import { describe, expect, it } from 'vitest';
import { MAX_BUSES, MAX_CHANNELS } from '../../src/engine/config.ts';
import { MAX_STAGES } from '../../src/engine/oversampling.ts';
import { stageKinds } from '../../src/engine/stages/catalogue.ts';
import { DRIVE } from '../../src/session/drive.ts';
import { LIMITS } from '../../src/session/limits.ts';

describe('the session and the engine', () => {
  it.each(stageKinds.map(({ id, parameters }) => [id, parameters] as const))('agree on the drive of %s', (_, all) => {
    const drive = all.find(({ id }) => id === DRIVE.id);
    expect(drive).toMatchObject({ type: 'continuous', unit: 'dB', min: DRIVE.min, max: DRIVE.max });
  });

  it('agree on how much a session holds', () => {
    const { channels, buses, stages } = LIMITS;
    expect({ channels, buses, stages }).toEqual({ channels: MAX_CHANNELS, buses: MAX_BUSES, stages: MAX_STAGES });
  });
});
