/** The workbench as blind trials see it. */
import type { Player } from '../../audio/player.ts';
import type { TrialRecord } from '../../blind/trial-record.ts';
import type { Command } from '../../session/commands.ts';
import type { SessionDocument } from '../../session/document.ts';
import type { Notices } from '../notices.ts';
import type { Sounds } from '../sounds.ts';
import type { TrialHost } from './trial-parts.ts';

export interface TrialledSession {
  readonly document: SessionDocument;
  readonly sounds: Pick<Sounds, 'of'>;
  readonly player: Pick<Player, 'durationSeconds' | 'monitorDb' | 'stop'>;
  readonly notices: Pick<Notices, 'say'>;
  dispatch(command: Command): void;
  keepTrial(record: TrialRecord): boolean;
}

export function trialHost(workbench: TrialledSession): TrialHost {
  return {
    get document() {
      return workbench.document;
    },
    planes: () => workbench.sounds.of(workbench.document),
    get durationSeconds() {
      return workbench.player.durationSeconds;
    },
    get monitorDb() {
      return workbench.player.monitorDb;
    },
    silence: () => workbench.player.stop(),
    dispatch: (command) => workbench.dispatch(command),
    keep: (record) => workbench.keepTrial(record),
    say: (kind, text) => workbench.notices.say(kind, text),
  };
}
