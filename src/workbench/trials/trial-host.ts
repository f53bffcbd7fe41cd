/** The workbench as blind trials see it. */
import type { Workbench } from '../workbench.ts';
import type { TrialHost } from './trial-parts.ts';

export function trialHost(workbench: Workbench): TrialHost {
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
