import type { LinkCommand } from './link-commands.ts';
import { linkHandlers } from './link-commands.ts';
import type { SceneCommand } from './scene-commands.ts';
import { sceneHandlers } from './scene-commands.ts';
import type { SessionDocument } from './schema.ts';
import type { SessionCommand } from './session-commands.ts';
import { sessionHandlers } from './session-commands.ts';
import type { StageCommand } from './stage-commands.ts';
import { stageHandlers } from './stage-commands.ts';
import type { StripCommand } from './strip-commands.ts';
import { stripHandlers } from './strip-commands.ts';

export type { NotePlace } from './session-commands.ts';
export type { ParameterSetting } from './stage-commands.ts';

type SingleCommand = StageCommand | StripCommand | LinkCommand | SceneCommand | SessionCommand;

/** What a user can do to a session. Every command is plain data, so it can be stored, repeated and undone. */
export type Command = SingleCommand | { type: 'all'; commands: Command[] };

const handlers = { ...stageHandlers, ...stripHandlers, ...linkHandlers, ...sceneHandlers, ...sessionHandlers };

/**
 * Applies a command to a draft of the document, in place; `all` applies several in turn, as one step.
 * A command that names something that isn't there changes nothing: the screen may be one step behind the document.
 * The document stays valid whatever comes: a number beyond its range is taken to the end of it, one that is none and a
 * region that ends before it starts change nothing; what names something that a command took out goes with it.
 */
export function applyCommand(draft: SessionDocument, command: Command): void {
  if (command.type === 'all') {
    for (const one of command.commands) applyCommand(draft, one);
    return;
  }
  // Each handler takes its own command; that they belong together is checked where the handlers are written.
  const handle = handlers[command.type] as (draft: SessionDocument, command: SingleCommand) => void;
  handle(draft, command);
}
