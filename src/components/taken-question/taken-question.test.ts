import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import type { KeptSession } from '../../stores/kept-store.ts';
import type { TakenQuestion } from './taken-question.ts';
import './taken-question.ts';

const PIER: KeptSession = { id: 'p', name: 'Pier', changed: 0, channels: 1, open: 'elsewhere', unreadable: null };

async function make() {
  const made = await provided<TakenQuestion>(html`<taken-question></taken-question>`);
  const { kept } = made.stores.session.files;
  const ask = async () => {
    kept.set({ taken: PIER });
    await made.element.updateComplete;
  };
  const press = async (name: string) => {
    all<HTMLButtonElement>(made.element, 'button')
      .find((one) => textOf(one) === name)!
      .click();
    await made.element.updateComplete;
  };
  return { ...made, kept, ask, press };
}

describe('taken-question', () => {
  it('is closed while nobody else has the session', async () => {
    const { element } = await make();
    expect(element.open).to.equal(false);
  });

  it('says in plain words who has it, and offers a copy, another one or a new one', async () => {
    const { element, kept, ask, press } = await make();
    await ask();
    expect(element.open).to.equal(true);
    expect(textOf(inside(element, 'h2'))).to.equal('“Pier” is open in another tab');
    await expect(element).to.be.accessible();
    await press('Open a copy');
    expect(element.open).to.equal(false);
    await ask();
    await press('New session');
    let asked = 0;
    element.addEventListener('session-list-request', () => asked++);
    await ask();
    await press('Other sessions…');
    expect(element.open).to.equal(false);
    expect(asked).to.equal(1);
    expect(kept.calls).to.deep.equal(['open a copy of p', 'leave', 'leave']);
  });

  it('takes Escape for a new session', async () => {
    const { element, kept, ask } = await make();
    await ask();
    inside(element, 'dialog').dispatchEvent(new Event('cancel', { cancelable: true }));
    await element.updateComplete;
    expect(kept.calls).to.deep.equal(['leave']);
    expect(element.open).to.equal(false);
  });
});
