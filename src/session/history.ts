import type { Patches } from 'mutative';
import { apply, create } from 'mutative';
import type { Command } from './commands.ts';
import { applyCommand } from './commands.ts';
import type { SessionDocument } from './document.ts';

const MOST_STEPS = 200;
/** Moves of one control closer together than this are one step of undo. */
const COALESCE_MS = 800;

interface Step {
  readonly undo: Patches;
  readonly redo: Patches;
  /** Names the control that a continued move must have in common; empty for commands that never coalesce. */
  readonly control: string;
  readonly time: number;
}

/**
 * The document and the way back: commands in, immutable documents out. Undo keeps patches, not copies.
 */
export class History {
  private past: Step[] = [];
  private future: Step[] = [];

  constructor(private current: SessionDocument) {}

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
   * Carries a command out; false when it changed nothing.
   * @param time milliseconds on any steady clock, for telling one drag from the next
   */
  dispatch(command: Command, time: number): boolean {
    const [next, redo, undo] = create(this.current, (draft) => applyCommand(draft as SessionDocument, command), {
      enablePatches: true,
    });
    if (redo.length === 0) return false;
    this.current = next;
    this.future = [];
    const control = controlOf(command);
    const last = this.past.at(-1);
    if (last && control !== '' && last.control === control && time - last.time < COALESCE_MS) {
      // A control only ever sets the same places, so the first way back and the last way forth are the whole move.
      this.past[this.past.length - 1] = { undo: last.undo, redo, control, time };
    } else {
      this.past.push({ undo, redo, control, time });
      if (this.past.length > MOST_STEPS) this.past.shift();
    }
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

function controlOf(command: Command): string {
  switch (command.type) {
    case 'set-parameter':
      return `${command.rackId} ${command.stageId} ${command.parameterId}`;
    case 'set-match-trim':
      return `${command.rackId} match trim`;
    case 'set-bus-gain':
      return `${command.busId} gain`;
    case 'set-loop':
      return 'loop';
    case 'set-channel':
      return command.gainDb !== undefined || command.pan !== undefined
        ? `${command.channelId} ${Object.keys(command).sort().join()}`
        : '';
    default:
      return '';
  }
}
