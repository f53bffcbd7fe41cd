/** Escape is silence, wherever the focus is. */

export interface EscapeTargets {
  /** Something is heard, or is about to be. */
  readonly sounding: () => boolean;
  readonly silence: () => void;
  /** An Escape that had nothing to silence and that no field or dialog took for itself. */
  readonly otherwise?: (event: KeyboardEvent) => void;
}

/**
 * Binds Escape; returns what releases it. It is heard before any field or dialog gets it, and still goes on to them: a
 * dialog closes, a half typed value is given up.
 */
export function bindEscape(target: Window, { sounding, silence, otherwise }: EscapeTargets): () => void {
  const binding = new AbortController();
  const { signal } = binding;
  let seenDown = false;
  let silencedBy: KeyboardEvent | null = null;
  const first = (event: KeyboardEvent) => {
    if (!isEscape(event)) return;
    seenDown = true;
    if (event.repeat || !sounding()) return;
    silencedBy = event;
    silence();
  };
  // The list of an open select, and a picker of the system, keep the key's way down for themselves.
  const up = (event: KeyboardEvent) => {
    if (!isEscape(event)) return;
    if (!seenDown && sounding()) silence();
    seenDown = false;
  };
  const last = (event: KeyboardEvent) => {
    if (event.key !== 'Escape' || event === silencedBy || event.repeat || event.defaultPrevented) return;
    otherwise?.(event);
  };
  target.addEventListener('keydown', first, { capture: true, signal });
  target.addEventListener('keyup', up, { capture: true, signal });
  target.addEventListener('keydown', last, { signal });
  return () => binding.abort();
}

/** An input method that composes a word names the key otherwise. */
function isEscape({ key, code, isComposing }: KeyboardEvent): boolean {
  return key === 'Escape' || (code === 'Escape' && (isComposing || key === 'Process'));
}
