import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import { MemoryTrials } from '../../../tests/browser/fixture/trials.ts';
import './earlier-trials.ts';
import type { EarlierTrials } from './earlier-trials.ts';

describe('earlier-trials', () => {
  it('lists what the session keeps, and opens it again', async () => {
    const stores = { ...memoryStores(), trials: new MemoryTrials(3) };
    const { trials } = stores;
    trials.open();
    const { element } = await provided<EarlierTrials>(html`<earlier-trials></earlier-trials>`, stores);
    expect(element.shadowRoot!.childElementCount, 'nothing yet').to.equal(0);
    await trials.prepare({
      kind: 'abx',
      sounds: [trials.sounds[0].value, trials.sounds[1].value],
      rule: { type: 'fixed', trials: 5 },
    });
    trials.stop();
    trials.open();
    await element.updateComplete;
    expect(all(element, '.found').map(textOf)).to.deep.equal([
      'Can I hear it? Clean against As it is now0 of 0 right, but stopped before the number that was set, so no conclusion is drawn.',
    ]);
    await expect(element).to.be.accessible();
    all<HTMLButtonElement>(element, 'button')[0].click();
    expect(trials.phase).to.equal('done');
    expect(trials.outcome).to.equal(trials.earlier[0]);
    trials.open();
    await element.updateComplete;
    all<HTMLButtonElement>(element, 'button')[1].click();
    expect(trials.earlier).to.deep.equal([]);
  });
});
