import type { Handlers } from './apply.ts';
import { regionOr, removeById, within } from './apply.ts';
import { LIMITS } from './limits.ts';
import { findRack, findScene, findStage } from './lookup.ts';
import type { RackId, Region, SessionDocument } from './schema.ts';
import { cleanNotes, renamed } from './text.ts';

/** Where a note is kept. */
export type NotePlace =
  | { kind: 'session' }
  | { kind: 'rack'; rackId: RackId }
  | { kind: 'stage'; rackId: RackId; stageId: string }
  | { kind: 'scene'; sceneId: string };

/** The session as a whole. */
export type SessionCommand =
  | { type: 'rename-session'; name: string }
  | { type: 'set-notes'; place: NotePlace; notes: string }
  | { type: 'set-alignment'; dbfs: number }
  | { type: 'set-solo-through-buses'; on: boolean }
  | { type: 'set-loop'; region: Region | null }
  | { type: 'set-match-region'; region: Region | null }
  | { type: 'set-matching'; on: boolean }
  | { type: 'set-export-oversampling'; factor: 4 | 8 }
  | { type: 'remove-trial'; trialId: string };

export const sessionHandlers: Handlers<SessionCommand> = {
  'rename-session': (draft, { name }) => {
    draft.name = renamed(draft.name, name);
  },
  'set-notes': (draft, { place, notes }) => {
    const holder = findNotes(draft, place);
    if (holder) holder.notes = cleanNotes(notes);
  },
  'set-alignment': (draft, { dbfs }) => {
    draft.alignmentDbfs = within(LIMITS.alignmentDbfs, dbfs, draft.alignmentDbfs);
  },
  'set-solo-through-buses': (draft, { on }) => {
    draft.soloThroughBuses = on;
  },
  'set-loop': (draft, { region }) => {
    draft.loop = regionOr(draft.loop, region);
  },
  'set-match-region': (draft, { region }) => {
    draft.matchRegion = regionOr(draft.matchRegion, region);
  },
  'set-matching': (draft, { on }) => {
    draft.matching = on;
  },
  'set-export-oversampling': (draft, { factor }) => {
    draft.exportOversampling = factor;
  },
  'remove-trial': (draft, { trialId }) => removeById(draft.trials, trialId),
};

function findNotes(draft: SessionDocument, place: NotePlace): { notes: string } | undefined {
  switch (place.kind) {
    case 'session':
      return draft;
    case 'rack':
      return findRack(draft, place.rackId);
    case 'stage':
      return findStage(draft, place.rackId, place.stageId);
    case 'scene':
      return findScene(draft, place.sceneId);
  }
}
