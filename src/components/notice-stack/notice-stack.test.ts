import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import type { NoticeStack } from './notice-stack.ts';
import './notice-stack.ts';

describe('notice-stack', () => {
  it('reads sentences out, says their weight in words, and lets them be dismissed', async () => {
    const stores = memoryStores();
    const { element } = await provided<NoticeStack>(html`<notice-stack></notice-stack>`, stores, 400);
    // The live region stands before anything is said, or a screen reader misses the first sentence.
    expect(inside(element, '[aria-live]').getAttribute('aria-live')).to.equal('polite');
    stores.notices.set({
      notices: [
        { id: 4, kind: 'info', text: 'Stored.' },
        { id: 5, kind: 'fault', text: 'The file is damaged.' },
      ],
    });
    await element.updateComplete;
    expect(all(element, 'p').map(textOf)).to.deep.equal(['Note Stored.', 'Fault The file is damaged.']);
    await expect(element).to.be.accessible();
    all<HTMLButtonElement>(element, 'button')[0].click();
    await element.updateComplete;
    expect(all(element, 'p').map(textOf)).to.deep.equal(['Fault The file is damaged.']);
  });

  it('offers the way back beside what was done', async () => {
    const stores = memoryStores();
    const { element } = await provided<NoticeStack>(html`<notice-stack></notice-stack>`, stores, 400);
    let undone = 0;
    const action = { label: 'Undo', run: () => undone++ };
    stores.notices.set({ notices: [{ id: 1, kind: 'info', text: 'Soft clip added.', action }] });
    await element.updateComplete;
    const [undo] = all<HTMLButtonElement>(element, 'button');
    expect(textOf(undo)).to.equal('Undo');
    await expect(element).to.be.accessible();
    undo.click();
    expect(undone).to.equal(1);
  });
});
