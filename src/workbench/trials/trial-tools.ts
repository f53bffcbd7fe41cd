/** What the browser gives to blind trials. */

import { TrialPlayer } from '../../audio/trial-player.ts';
import type { BitSource } from '../../blind/random-bits.ts';
import { renderTrialSounds } from '../../workers/trial-client.ts';
import type { TrialTools } from './trial-parts.ts';

export function trialTools(program: string): TrialTools {
  return {
    render: renderTrialSounds,
    player: (onInterruption) => new TrialPlayer(onInterruption),
    bits: secretBits(),
    now: () => performance.now(),
    wait: (ms) => new Promise((resolve) => setTimeout(resolve, ms)),
    date: () => new Date().toISOString(),
    program,
  };
}

/** Fair bits that nobody can foretell, from the platform's cryptographic source. */
function secretBits(): BitSource {
  const byte = new Uint8Array(1);
  return () => ((crypto.getRandomValues(byte)[0] ?? 0) & 1 ? 1 : 0);
}
