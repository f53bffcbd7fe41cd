import { tinykeys } from 'tinykeys';
import { findStrip } from '../../session/document.ts';
import type { LevelStore, PlayerStore, SessionStore, Side } from '../context/stores.ts';
import { isTyping, takesSpace } from '../keys/typing.ts';

export interface KeyTargets {
  readonly session: () => SessionStore | undefined;
  readonly player: () => PlayerStore | undefined;
  readonly levels: () => LevelStore | undefined;
  readonly help: () => void;
  readonly trial: () => void;
  readonly takeHome: () => void;
  /** While a dialog is open the keys belong to it. */
  readonly dialogOpen: () => boolean;
}

/** A loop made with two keys is at least this long, s. */
const SHORTEST_LOOP = 0.05;

/** Binds the keys of the whole screen; returns what releases them. */
export function bindKeys(
  target: Window,
  { session, player, levels, help, trial, takeHome, dialogOpen }: KeyTargets,
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
  };
  const guarded = Object.fromEntries(
    Object.entries(plain).map(([keys, act]) => [
      keys,
      (event: KeyboardEvent) => {
        if (event.defaultPrevented || event.repeat || isTyping(event) || dialogOpen()) return;
        event.preventDefault();
        act();
      },
    ]),
  );
  return tinykeys(target, {
    ...guarded,
    Space: (event) => {
      // Where Space already means something, on a button or a checkbox, it keeps meaning that.
      if (event.defaultPrevented || event.repeat || isTyping(event) || dialogOpen() || takesSpace(event)) return;
      event.preventDefault();
      const store = player();
      if (!store) return;
      if (store.playing) store.stop();
      else if (store.durationSeconds > 0 && store.state !== 'loading' && store.state !== 'starting') store.play();
    },
    Escape: (event) => {
      if (event.defaultPrevented || event.repeat || isTyping(event) || dialogOpen()) return;
      const store = player();
      store?.setPanic(!store.panic);
    },
  });
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
