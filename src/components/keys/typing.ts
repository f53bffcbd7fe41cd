/** What a key press means where it lands: a key of the sheet must not be taken from a field or a button. */
import { isPointed } from './pointed.ts';

const TEXT_INPUTS = new Set(['text', 'search', 'number', 'email', 'url', 'tel', 'password', 'date', 'time']);

/** The key goes into a field. After a choice by mouse a list is done with, until it opens again. */
export function isTyping(event: KeyboardEvent): boolean {
  const target = event.composedPath()[0];
  if (target instanceof HTMLInputElement) return TEXT_INPUTS.has(target.type);
  if (target instanceof HTMLSelectElement) return !isPointed(target) || isOpen(target);
  return target instanceof HTMLTextAreaElement || (target instanceof HTMLElement && target.isContentEditable);
}

/** The key already means something there: it presses a button or ticks a box. */
export function pressesThere(event: KeyboardEvent): boolean {
  const target = event.composedPath()[0];
  if (target instanceof HTMLInputElement)
    return target.type === 'checkbox' || (target.type === 'radio' && !target.checked);
  return target instanceof HTMLElement && target.matches('button, summary, a[href]');
}

/** Space presses what was reached by keyboard; after a click it belongs to the screen. */
export function takesSpace(event: KeyboardEvent): boolean {
  return pressesThere(event) && !isPointed(event.composedPath()[0]);
}

/** The key is taken away from what has the focus; some browsers press a button only when the key comes up. */
export function takeKey(event: KeyboardEvent): void {
  event.preventDefault();
  const swallow = (up: KeyboardEvent) => {
    if (up.code === event.code) up.preventDefault();
  };
  window.addEventListener('keyup', swallow, { capture: true, once: true });
}

/** Browsers that don't know the state keep the keys of an open list to themselves. */
function isOpen(select: HTMLSelectElement): boolean {
  return CSS.supports('selector(:open)') && select.matches(':open');
}
