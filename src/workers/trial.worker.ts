/** Renders sounds of one blind trial beside the page. It is made for one request and thrown away afterwards. */

import { TrialError } from '../measure/trial/trial-set.ts';
import { someSounds } from '../measure/trial/trial-sounds.ts';
import { runSteps } from '../render/run-steps.ts';
import { Handed, serve } from './serve.ts';
import type { TrialProtocol } from './trial-protocol.ts';

serve<TrialProtocol>({
  asks: {
    render: async ({ request, part }, { tell, signal }) => {
      const rendered = await runSteps(
        someSounds(request, part, (share) => tell(share)),
        signal,
      );
      return new Handed(
        rendered,
        rendered.sounds.flatMap(({ planes }) => planes.map(({ buffer }) => buffer)),
      );
    },
  },
  notes: {},
  faultText: (fault) =>
    fault instanceof TrialError
      ? fault.message
      : `The sounds could not be made (${fault instanceof Error ? fault.message : String(fault)}). Choose a shorter loop or reload the page; the session is kept.`,
});
