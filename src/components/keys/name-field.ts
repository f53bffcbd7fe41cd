/** What all one-line names do with what is typed. */

/** Takes a typed name over; an emptied name is no name, and the old one comes back. */
export function takeName(field: HTMLInputElement, name: string, rename: (name: string) => void): void {
  const typed = field.value.trim();
  if (typed === '' || typed === name) field.value = name;
  else rename(typed);
}

/** Enter takes the name over, Escape gives up what was typed; with both the keys go to the screen again. */
export function onNameKey(event: KeyboardEvent, name: string): void {
  const field = event.target as HTMLInputElement;
  if (event.isComposing) return;
  if (event.key === 'Escape') field.value = name;
  if (event.key === 'Escape' || event.key === 'Enter') field.blur();
}
