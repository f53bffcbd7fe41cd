import { tinykeys } from 'tinykeys';
import { findStrip } from '../../session/document.ts';
import type { LevelStore } from '../../stores/level-store.ts';
import type { PlayerStore, Side } from '../../stores/player-store.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { bindEscape } from '../keys/escape.ts';
import { isPointed } from '../keys/pointed.ts';
import { isTyping, takeKey, takesSpace } from '../keys/typing.ts';

export interface KeyTargets {
  readonly session: () => SessionStore | undefined;
  readonly player: () => PlayerStore | undefined;
  readonly levels: () => LevelStore | undefined;
  readonly help: () => void;
  readonly trial: () => void;
  readonly takeHome: () => void;
  /** While a dialog is open the keys belong to it. */
  readonly dialogOpen: () => boolean;
  /** A blind trial has the window for itself; there is no sign of a mute in it. */
  readonly inTrial: () => boolean;
}

/** A loop made with two keys is at least this long, s. */
const SHORTEST_LOOP = 0.05;

/** Binds the keys of the whole screen; returns what releases them. */
export function bindKeys(
  target: Window,
  { session, player, levels, help, trial, takeHome, dialogOpen, inTrial }: KeyTargets,
): () => void {
  const side = (wanted: Side) => () => player()?.setSide(wanted);
  const loop = (edge: 'start' | 'end') => () => {
    const region = loopFrom(session(), player(), edge);
    if (region) session()?.dispatch({ type: 'set-loop', region });
  };
  const strip = (what: 'mute' | 'solo') => () => {
    const store = session();
    const found = store && findStrip(store.document, store.selectedRack);
    if (found) store.dispatch({ type: `set-${what}`, stripId: found.id, on: !found[what] });
  };
  const plain: Record<string, () => void> = {
    '1': side('clean'),
    '2': side('coloured'),
    '3': side('added'),
    x: () => player()?.setSide(player()?.side === 'clean' ? 'coloured' : 'clean'),
    m: () => {
      const store = session();
      store?.dispatch({ type: 'set-matching', on: !store.document.matching });
    },
    'Shift+m': strip('mute'),
    'Shift+s': strip('solo'),
    l: () => session()?.dispatch({ type: 'set-loop', region: null }),
    r: () => levels()?.reset(),
    i: loop('start'),
    o: loop('end'),
    b: trial,
    e: takeHome,
    '?': help,
    'Shift+?': help,
    '$mod+z': () => session()?.undo(),
    '$mod+Shift+z': () => session()?.redo(),
    '$mod+y': () => session()?.redo(),
  };
  const guarded = Object.fromEntries(
    Object.entries(plain).map(([keys, act]) => [
      keys,
      (event: KeyboardEvent) => {
        if (event.defaultPrevented || event.repeat || isTyping(event) || dialogOpen() || inTrial()) return;
        event.preventDefault();
        act();
      },
    ]),
  );
  const releaseKeys = tinykeys(target, {
    ...guarded,
    Space: (event) => {
      if (event.defaultPrevented || isTyping(event) || inTrial() || takesSpace(event)) return;
      // A dialog that was reached by keyboard has the key.
      if (dialogOpen() && !isPointed(event.composedPath()[0])) return;
      takeKey(event);
      const store = player();
      if (!store || event.repeat) return;
      if (store.playing) store.stop();
      else if (store.durationSeconds > 0 && store.state !== 'loading' && store.state !== 'starting') store.play();
    },
  });
  const releaseEscape = bindEscape(target, {
    sounding: () => {
      const store = player();
      return store !== undefined && !store.panic && (store.playing || store.state === 'starting');
    },
    silence: () => (inTrial() ? player()?.stop() : player()?.setPanic(true)),
    // Sound comes back by a key of its own only, never by one that closes a dialog or leaves a field.
    otherwise: (event) => {
      if (isTyping(event) || inMenu(event) || dialogOpen() || inTrial()) return;
      const store = player();
      store?.setPanic(!store.panic);
    },
  });
  return () => {
    releaseKeys();
    releaseEscape();
  };
}

/** Escape closes an open list. */
function inMenu(event: KeyboardEvent): boolean {
  return event.composedPath().some((one) => one instanceof Element && one.matches(':popover-open'));
}

/** The loop with one edge moved to where the sound is; the other edge is the loop's, or the end of the session. */
function loopFrom(session: SessionStore | undefined, player: PlayerStore | undefined, edge: 'start' | 'end') {
  if (!session || !player || player.durationSeconds <= 0) return null;
  const now = player.positionSeconds();
  const { loop } = session.document;
  const start = edge === 'start' ? now : loop && loop.startSeconds < now ? loop.startSeconds : 0;
  const end = edge === 'end' ? now : loop && loop.endSeconds > now ? loop.endSeconds : player.durationSeconds;
  return end - start >= SHORTEST_LOOP ? { startSeconds: start, endSeconds: end } : null;
}
