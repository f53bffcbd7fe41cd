/**
 * Whether the focus came by mouse or finger. The browsers' own `:focus-visible` changes its mind with the next key, so
 * it can't be asked when that key has arrived.
 */

let pointed: EventTarget | null = null;
/** A press that no key has followed yet: where the focus was before, and what was pressed. */
let press: { before: Element | null; path: readonly EventTarget[] } | null = null;

/** What has the focus, through shadow roots. */
export function focused(): Element | null {
  let element = document.activeElement;
  while (element?.shadowRoot?.activeElement) element = element.shadowRoot.activeElement;
  return element;
}

function settle(): void {
  const now = focused();
  // Left by keyboard; when it is reached again, the keyboard led there.
  if (now !== pointed) pointed = null;
  if (!press) return;
  // A press that moved no focus, on a bare place of the screen, leaves it as it came.
  if (now !== press.before || (now && press.path.includes(now))) pointed = now;
  press = null;
}

addEventListener(
  'pointerdown',
  (event) => {
    settle();
    press = { before: focused(), path: event.composedPath() };
  },
  { capture: true, passive: true },
);
addEventListener('keydown', settle, { capture: true });

/** The element has the focus because it was clicked or touched: keys of the whole screen pass by it. */
export function isPointed(element: EventTarget | undefined): boolean {
  settle();
  return element !== undefined && element === pointed;
}
