import { type ContinuousParameter, fromTravel, toTravel } from '../../engine/parameters.ts';

/** Where a key moves the value to; null when the key isn't one of the slider's. */
export function valueAfterKey(
  declaration: ContinuousParameter,
  value: number,
  key: string,
  fine: boolean,
): number | null {
  switch (key) {
    case 'ArrowUp':
    case 'ArrowRight':
      return stepped(declaration, value, fine ? 0.1 : 1);
    case 'ArrowDown':
    case 'ArrowLeft':
      return stepped(declaration, value, fine ? -0.1 : -1);
    case 'PageUp':
      return stepped(declaration, value, 10);
    case 'PageDown':
      return stepped(declaration, value, -10);
    case 'Home':
      return declaration.min;
    case 'End':
      return declaration.max;
    case 'Delete':
    case 'Backspace':
      return declaration.default;
    default:
      return null;
  }
}

/** The value at a position of the pointer, rounded to what the screen shows so that a drag leaves tidy figures. */
export function valueAtTravel(declaration: ContinuousParameter, travel: number): number {
  if (travel <= 0) return declaration.min;
  if (travel >= 1) return declaration.max;
  const value = fromTravel(declaration, travel);
  return limited(
    declaration,
    declaration.taper === 'log' ? Number(value.toPrecision(3)) : rounded(value, declaration.digits),
  );
}

function stepped(declaration: ContinuousParameter, value: number, steps: number): number {
  if (declaration.taper === 'log') {
    const travel = toTravel(declaration, value) + steps * declaration.step;
    return limited(declaration, Number(fromTravel(declaration, travel).toPrecision(4)));
  }
  // One digit more than shown, for the fine step; it also takes away the dust of repeated sums.
  const digits = Math.max(declaration.digits, -Math.floor(Math.log10(declaration.step))) + 1;
  return limited(declaration, rounded(value + steps * declaration.step, digits));
}

function rounded(value: number, digits: number): number {
  const result = Number(value.toFixed(digits));
  return result === 0 ? 0 : result;
}

function limited(declaration: ContinuousParameter, value: number): number {
  return Math.min(declaration.max, Math.max(declaration.min, value));
}
