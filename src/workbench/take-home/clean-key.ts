import type { SessionDocument } from '../../session/document.ts';

/** Equal for documents with the same clean mix: the same sounds, gains, balances, routes and mutes. */
export function cleanKey({ sampleRate, channels, buses }: SessionDocument): string {
  return JSON.stringify([
    sampleRate,
    channels.map(({ audio, gainDb, pan, busId, mute }) => [audio?.sha256, gainDb, pan, busId, mute]),
    buses.map(({ id, gainDb, mute }) => [id, gainDb, mute]),
  ]);
}
