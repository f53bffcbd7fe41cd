/** Renders sounds of one blind trial beside the page. It is made for one request and thrown away afterwards. */

import { TrialError } from '../measure/trial/trial-error.ts';
import { someSounds } from '../measure/trial/trial-sounds.ts';
import { runSteps } from '../render/run-steps.ts';
import type { FromTrialWorker, ToTrialWorker } from './trial-protocol.ts';

const send = (message: FromTrialWorker, transfer: Transferable[] = []) => {
  (globalThis as unknown as { postMessage(message: FromTrialWorker, transfer: Transferable[]): void }).postMessage(
    message,
    transfer,
  );
};

globalThis.addEventListener('message', async ({ data: { request, part } }: MessageEvent<ToTrialWorker>) => {
  try {
    const rendered = await runSteps(someSounds(request, part, (share) => send({ type: 'progress', share })));
    send(
      { type: 'rendered', rendered },
      rendered.sounds.flatMap(({ planes }) => planes.map(({ buffer }) => buffer)),
    );
  } catch (fault) {
    const text =
      fault instanceof TrialError
        ? fault.message
        : `The sounds could not be made (${fault instanceof Error ? fault.message : String(fault)}). Choose a shorter loop or reload the page; the session is kept.`;
    send({ type: 'refused', text });
  }
});
