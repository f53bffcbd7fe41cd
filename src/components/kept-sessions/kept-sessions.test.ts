import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import type { KeptSessions } from './kept-sessions.ts';
import './kept-sessions.ts';

describe('kept-sessions', () => {
  it('is nothing where there are none', async () => {
    const { element } = await provided<KeptSessions>(html`<kept-sessions></kept-sessions>`);
    expect(element.shadowRoot!.childElementCount).to.equal(0);
  });

  it('saves one, and gives one up only when that is said twice', async () => {
    const { element, stores } = await provided<KeptSessions>(html`<kept-sessions></kept-sessions>`);
    const { kept } = stores.session.files;
    kept.set({
      sessions: [
        { key: 'one', name: 'From tomorrow', reason: 'newer', day: '2026-11-01' },
        { key: 'two', name: 'Torn', reason: 'damaged', day: '2026-11-02' },
      ],
    });
    await element.updateComplete;
    expect(all(element, 'small').map(textOf)).to.deep.equal([
      'of a newer Level Best: save it and open it there, since 2026-11-01',
      'damaged, since 2026-11-02',
    ]);
    await expect(element).to.be.accessible();
    const press = async (name: string) => {
      all<HTMLButtonElement>(element, 'button')
        .find((one) => textOf(one) === name)!
        .click();
      await element.updateComplete;
    };
    await press('Save… From tomorrow');
    await press('Give up… Torn');
    expect(kept.calls).to.deep.equal(['save one']);
    await expect(element).to.be.accessible();
    await press('Give up for good: Torn');
    expect(kept.calls).to.deep.equal(['save one', 'forget two']);
    expect(all(element, 'li').length).to.equal(1);
  });
});
