/** What a key press means where it lands: a key of the sheet must not be taken from a field or a button. */

const TEXT_INPUTS = new Set(['text', 'search', 'number', 'email', 'url', 'tel', 'password', 'date', 'time']);

/** The key goes into a field. */
export function isTyping(event: KeyboardEvent): boolean {
  const target = event.composedPath()[0];
  if (target instanceof HTMLInputElement) return TEXT_INPUTS.has(target.type);
  return (
    target instanceof HTMLTextAreaElement ||
    target instanceof HTMLSelectElement ||
    (target instanceof HTMLElement && target.isContentEditable)
  );
}

/** Space already means something there: it presses a button or ticks a box. */
export function takesSpace(event: KeyboardEvent): boolean {
  const target = event.composedPath()[0];
  if (target instanceof HTMLInputElement) return target.type === 'checkbox';
  return target instanceof HTMLElement && target.matches('button, summary, a[href]');
}
