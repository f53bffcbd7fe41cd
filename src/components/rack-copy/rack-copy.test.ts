import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, inside, provided, textOf, unfold } from '../../../tests/browser/fixture/provide.ts';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import { emptySession, findRack } from '../../session/document.ts';
import type { RackChoice } from '../rack-choice/rack-choice.ts';
import type { RackCopy } from './rack-copy.ts';
import './rack-copy.ts';

async function make(rackId: string, stores = memoryStores()) {
  const made = await provided<RackCopy>(html`<rack-copy .rackId=${rackId}></rack-copy>`, stores, 210);
  const details = made.element.shadowRoot!.querySelector('details');
  if (details) await unfold(made.element, details);
  return made;
}

const choice = (element: RackCopy) => inside(element, 'rack-choice');

async function choose(element: RackCopy, ...names: string[]): Promise<void> {
  for (const name of names) {
    const label = all(choice(element), 'label').find((one) => textOf(one).startsWith(name));
    label!.querySelector('input')!.click();
    await element.updateComplete;
    await (choice(element) as RackChoice).updateComplete;
  }
}
const button = (element: RackCopy) => inside<HTMLButtonElement>(element, 'button');

describe('rack-copy', () => {
  it('lists all other racks with what they hold', async () => {
    const { element } = await make('melodica');
    expect(all(choice(element), 'label').map(textOf)).to.deep.equal([
      'All other channels',
      'Bass clarinet 1 stage',
      'Accordion 1 stage',
      'Frame drum 2 stages',
      'Shaker empty',
      'Upright bass 1 stage',
      'Reeds bus 1 stage',
      'Rhythm bus 1 stage',
      'Mix 1 stage',
    ]);
    expect(button(element).disabled).to.equal(true);
    await expect(element).to.be.accessible();
  });

  it('copies to several in one step and says what is replaced before', async () => {
    const { element, stores } = await make('melodica');
    await choose(element, 'Shaker', 'Frame drum', 'Accordion');
    expect(textOf(element.shadowRoot!.querySelector('details')!)).to.contain('Replaces the stages of 2 racks');
    expect(textOf(button(element))).to.equal('Copy to 3 racks');
    button(element).click();
    await element.updateComplete;
    expect(stores.session.commands).to.deep.equal([
      { type: 'copy-rack', fromRackId: 'melodica', toRackIds: ['accordion', 'drum', 'shaker'] },
    ]);
    const kinds = (rackId: string) => findRack(stores.session.document, rackId)!.stages.map(({ kind }) => kind);
    for (const id of ['accordion', 'drum', 'shaker']) expect(kinds(id)).to.deep.equal(kinds('melodica'));
    expect(textOf(inside(element, '[role=status]'))).to.equal('Copied to 3 racks. Each is matched by itself.');
    expect(button(element).disabled).to.equal(true);
    await expect(element).to.be.accessible();
    stores.session.undo();
    expect(kinds('shaker')).to.deep.equal([]);
  });

  it('chooses all channels at once', async () => {
    const { element, stores } = await make('mix');
    await choose(element, 'Melodica');
    const every = inside<HTMLInputElement>(choice(element), '.all input');
    expect(every.indeterminate).to.equal(true);
    await choose(element, 'All channels');
    button(element).click();
    expect(stores.session.commands).to.deep.equal([
      {
        type: 'copy-rack',
        fromRackId: 'mix',
        toRackIds: ['melodica', 'clarinet', 'accordion', 'drum', 'shaker', 'bass'],
      },
    ]);
  });

  it('forgets what was chosen when another rack is shown', async () => {
    const { element } = await make('melodica');
    await choose(element, 'Shaker');
    element.rackId = 'drum';
    await element.updateComplete;
    expect(button(element).disabled).to.equal(true);
  });

  it('has nothing to copy from an empty rack, and nowhere to copy to in an empty session', async () => {
    const { element } = await make('shaker');
    expect(textOf(inside(element, 'details'))).to.contain('no stages to copy');
    const nothing = await make('mix', memoryStores(emptySession(48_000)));
    expect(nothing.element.shadowRoot!.childElementCount).to.equal(0);
  });
});
