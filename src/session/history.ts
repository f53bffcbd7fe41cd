import type { Patches } from 'mutative';
import { apply, create } from 'mutative';
import type { Command } from './commands.ts';
import { applyCommand } from './commands.ts';
import type { SessionDocument } from './document.ts';
import { parseSession } from './parse.ts';

const MOST_STEPS = 200;
/** Moves of one control closer together than this are one step of undo. */
const COALESCE_MS = 800;

/** A step of undo: plain data, so that it can be stored. It never changes; a continued move gets a new one. */
export interface Step {
  readonly undo: Patches;
  readonly redo: Patches;
  /** Names the control that a continued move must have in common; empty for commands that never coalesce. */
  readonly control: string;
  readonly time: number;
  /** What it did, for people, as a part of a sentence; may be empty. */
  readonly about: string;
}

/** The way back and the way forth, each with its next step last. */
export interface Steps {
  readonly past: readonly Step[];
  readonly future: readonly Step[];
}

/**
 * The document and the way back: commands in, immutable documents out. Undo keeps patches, not copies.
 */
export class History {
  private past: Step[] = [];
  private future: Step[] = [];

  constructor(private current: SessionDocument) {}

  /**
   * The history of a document that was stored, with its steps. Steps that don't lead through sound documents (of an
   * earlier version, or damaged) are let go: the document is what counts.
   */
  static restored(document: SessionDocument, { past, future }: Steps): History {
    const history = new History(document);
    const lead = (steps: readonly Step[], way: 'undo' | 'redo') =>
      steps.reduceRight((now, step) => apply(now, step[way]), document);
    try {
      parseSession(lead(past, 'undo'));
      parseSession(lead(future, 'redo'));
    } catch {
      return history;
    }
    history.past = [...past];
    history.future = [...future];
    return history;
  }

  get steps(): Steps {
    return { past: this.past, future: this.future };
  }

  /** What the next undo takes back; null where there is none. */
  get undoAbout(): string | null {
    return this.past.at(-1)?.about ?? null;
  }

  get redoAbout(): string | null {
    return this.future.at(-1)?.about ?? null;
  }

  get document(): SessionDocument {
    return this.current;
  }

  get canUndo(): boolean {
    return this.past.length > 0;
  }

  get canRedo(): boolean {
    return this.future.length > 0;
  }

  /**
   * Carries a command out; false when it changed nothing. A drag is carried out from the document it began at, so that
   * it is one step whose way back and way forth are exact whatever it moved on its way, and so that linked drives that
   * were held at an end of their range come back into their relation within it.
   * @param time milliseconds on any steady clock, for telling one drag from the next
   * @param about what it does, for people
   */
  dispatch(command: Command, time: number, about = ''): boolean {
    const direct = carriedOut(this.current, command);
    if (isSame(direct.next, this.current)) return false;
    this.future = [];
    const control = controlOf(command);
    const last = this.past.at(-1);
    const continues = last && control !== '' && last.control === control && time - last.time < COALESCE_MS;
    const start = continues ? apply(this.current, last.undo) : this.current;
    const { next, redo, undo } = continues ? carriedOut(start, command) : direct;
    if (continues) this.past.pop();
    this.current = next;
    // A drag that came back to where it began leaves no step.
    if (!isSame(next, start)) this.past.push({ undo, redo, control, time, about });
    if (this.past.length > MOST_STEPS) this.past.shift();
    return true;
  }

  /** A change that is no user's step: computed gains, for one. It can't be undone. */
  adopt(change: (draft: SessionDocument) => void): boolean {
    const next = create(this.current, (draft) => change(draft as SessionDocument));
    const changed = next !== this.current;
    this.current = next;
    return changed;
  }

  undo(): boolean {
    const step = this.past.pop();
    if (!step) return false;
    this.current = apply(this.current, step.undo);
    this.future.push(step);
    return true;
  }

  redo(): boolean {
    const step = this.future.pop();
    if (!step) return false;
    this.current = apply(this.current, step.redo);
    this.past.push(step);
    return true;
  }
}

/** Whether a command finds anything to change. */
export function wouldChange(document: SessionDocument, command: Command): boolean {
  return !isSame(carriedOut(document, command).next, document);
}

function carriedOut(document: SessionDocument, command: Command) {
  const [next, redo, undo] = create(document, (draft) => applyCommand(draft as SessionDocument, command), {
    // Lengths in patches would cut off what was adopted since.
    enablePatches: { pathAsArray: true, arrayLengthAssignment: false },
  });
  return { next, redo, undo };
}

/** Names what a command moves; commands in a row on the same are one drag. Each of them sets it to a value. */
function controlOf(command: Command): string {
  switch (command.type) {
    case 'set-parameter':
      return `${command.rackId} ${command.stageId} ${command.parameterId}`;
    case 'set-many':
      return `many ${command.values.map((one) => `${one.rackId} ${one.stageId} ${one.parameterId}`).join()}`;
    case 'set-match-trim':
      return `${command.rackId} match trim`;
    case 'set-bus-gain':
      return `${command.busId} gain`;
    case 'set-all-drives':
    case 'set-alignment':
    case 'set-loop':
      return command.type;
    case 'set-notes':
      return `notes ${Object.values(command.place).join(' ')}`;
    case 'set-channel':
      return command.gainDb !== undefined || command.pan !== undefined
        ? `${command.channelId} ${Object.keys(command).sort().join()}`
        : '';
    default:
      return '';
  }
}

/** True when two pieces of a document say the same. What is one object is not looked into, so this is quick after a small change. */
export function isSame(a: unknown, b: unknown): boolean {
  if (a === b) return true;
  if (typeof a !== 'object' || typeof b !== 'object' || a === null || b === null) return false;
  const [keys, others] = [Object.keys(a), Object.keys(b)];
  if (keys.length !== others.length || Array.isArray(a) !== Array.isArray(b)) return false;
  return keys.every((key) => Object.hasOwn(b, key) && isSame(Reflect.get(a, key), Reflect.get(b, key)));
}
