import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { profile } from '../../../tests/browser/fixture/starting-points.ts';
import { findRack } from '../../session/document.ts';
import type { StartingPointList } from './starting-points.ts';
import './starting-points.ts';

async function make(rackId = 'melodica') {
  const made = await provided<StartingPointList>(html`<starting-points></starting-points>`);
  const { element, stores } = made;
  element.show(rackId);
  await element.updateComplete;
  const settled = async () => {
    await new Promise((resolve) => setTimeout(resolve));
    await element.updateComplete;
  };
  const press = async (name: string | RegExp) => {
    const button = all<HTMLButtonElement>(element, 'button').find((one) => textOf(one).match(name));
    if (!button) throw new Error(`no button "${name}"`);
    button.click();
    await settled();
  };
  const pick = async (name: string) => {
    const label = all(element, 'li label').find((one) => textOf(one).includes(name))!;
    label.querySelector('input')!.click();
    await settled();
  };
  const tick = async (name: string) => {
    const choice = inside(element, 'rack-choice');
    const label = all(choice, 'label').find((one) => textOf(one).startsWith(name))!;
    label.querySelector('input')!.click();
    await settled();
  };
  return { ...made, points: stores.session.startingPoints, press, pick, tick, settled };
}

describe('starting-points', () => {
  it('is measured for the rack it was opened at, and stops when it is closed', async () => {
    const { element, points, press } = await make();
    expect(points.calls).to.deep.equal(['look melodica']);
    expect(textOf(inside(element, 'dialog > p'))).to.contain('what comes into Melodica');
    await press('Close');
    expect(points.calls).to.deep.equal(['look melodica', 'leave']);
  });

  it('shows what each does here, and that it is yet to be measured until then', async () => {
    const { element, points } = await make();
    expect(textOf(all(element, 'li')[0])).to.contain('being measured');
    points.set({ points: points.points.map((point) => ({ ...point, profile })) });
    await element.updateComplete;
    const figures = [...all(element, 'li')[0].querySelectorAll('dl > div')].map(textOf);
    expect(figures).to.deep.equal([
      'THD, 60 Hz 0.25 %',
      '1 kHz 0.25 %',
      '5 kHz 1.0 %',
      'Even −92 dBc',
      'Odd −40 dBc',
      'Added here 1.3 %',
    ]);
    await expect(element).to.be.accessible();
  });

  it('is put on the rack it was opened at with one press, on many with some ticks, as one step of undo', async () => {
    const { element, stores, pick, press, tick } = await make();
    const primary = () => inside<HTMLButtonElement>(element, '.primary');
    expect(primary().disabled).to.equal(true);
    await pick('Fuller lead');
    expect(textOf(primary())).to.equal('Put “Fuller lead” on Melodica');
    expect(textOf(inside(element, '.reserved'))).to.equal('Replaces the stages of one rack; undo brings them back.');
    await tick('Shaker');
    await press(/on 2 racks/);
    expect(element.open).to.equal(false);
    const kinds = (id: string) => findRack(stores.session.document, id)!.stages.map(({ kind }) => kind);
    expect([kinds('melodica'), kinds('shaker')]).to.deep.equal([['triode'], ['triode']]);
    stores.session.undo();
    expect(kinds('shaker')).to.deep.equal([]);
  });

  it('keeps the rack that is shown under a name, and gives it up only when that is said twice', async () => {
    const { element, points, press, settled } = await make();
    const field = inside<HTMLInputElement>(element, '.field input');
    field.value = 'Low tide';
    field.dispatchEvent(new Event('input'));
    await settled();
    await press('Keep it in this list');
    const own = points.points.at(-1)!;
    expect([own.name, own.isOwn]).to.deep.equal(['Low tide', true]);
    await press(/^Save as a file…: Low tide/);
    expect(points.calls).to.include(`save ${own.id}`);
    await press(/^Discard…: Low tide/);
    expect(points.points.some(({ name }) => name === 'Low tide')).to.equal(true);
    await press(/^Discard for good: Low tide/);
    expect(points.points.some(({ name }) => name === 'Low tide')).to.equal(false);
    await expect(element).to.be.accessible();
  });

  it('shows one that can’t be read with the reason, and doesn’t offer it', async () => {
    const { element, points } = await make();
    const lost = { id: 'x', name: 'High tide', about: '', stages: [], isOwn: true, profile: null };
    points.set({ points: [{ ...lost, unreadable: 'This rack is of version 9.' }] });
    await element.updateComplete;
    expect(textOf(inside(element, 'li'))).to.contain('This rack is of version 9.');
    expect(inside<HTMLInputElement>(element, 'li input').disabled).to.equal(true);
    expect(element.shadowRoot!.querySelector('li dl')).to.equal(null);
  });

  it('has nothing to keep of an empty rack, nor where the browser keeps nothing', async () => {
    const empty = await make('shaker');
    expect(empty.element.shadowRoot!.querySelector('form')).to.equal(null);
    const { element, points } = await make();
    points.set({ isKept: false });
    await element.updateComplete;
    expect(inside<HTMLInputElement>(element, '.field input').disabled).to.equal(true);
    expect(textOf(element.shadowRoot!.querySelector('[aria-label="Your own"]')!)).to.contain('keeps nothing');
  });
});
