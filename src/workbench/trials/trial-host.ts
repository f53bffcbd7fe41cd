/** The workbench as blind trials see it. */
import type { Workbench } from '../workbench.ts';
import type { TrialHost } from './trial-parts.ts';

export function trialHost(bench: Workbench): TrialHost {
  return {
    get document() {
      return bench.document;
    },
    planes: () => bench.sounds.of(bench.document),
    get durationSeconds() {
      return bench.player.durationSeconds;
    },
    get monitorDb() {
      return bench.player.monitorDb;
    },
    silence: () => bench.player.stop(),
    dispatch: (command) => bench.dispatch(command),
    keep: (record) => bench.keepTrial(record),
    say: (kind, text) => bench.notices.say(kind, text),
  };
}
