import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import { emptySession } from '../../session/document.ts';
import type { SessionTitle } from './session-title.ts';
import './session-title.ts';

const make = (stores = memoryStores()) => provided<SessionTitle>(html`<session-title></session-title>`, stores, 250);

function button(element: Element, name: string): HTMLButtonElement {
  const found = all<HTMLButtonElement>(element, 'button').find((one) => textOf(one) === name);
  if (!found) throw new Error(`no button "${name}"`);
  return found;
}

describe('session-title', () => {
  it('says which session this is', async () => {
    const { element } = await make();
    expect(textOf(inside(element, '.name'))).to.equal('Harbour Hall sextet');
    expect(textOf(inside(element, '.small'))).to.equal('6 channels, 2 buses, mix');
    await expect(element).to.be.accessible();
  });

  it('says how to begin when there is no audio', async () => {
    const { element } = await make(memoryStores(emptySession(44_100)));
    expect(textOf(inside(element, '.small'))).to.contain('drop them anywhere');
  });

  it('hands the chosen files on, all of them, and can be asked for the same again', async () => {
    const { element, stores } = await make();
    const picker = inside<HTMLInputElement>(element, 'input[type=file]');
    expect(picker.multiple).to.equal(true);
    const choose = async () => {
      const transfer = new DataTransfer();
      transfer.items.add(new File(['a'], 'melodica.wav'));
      transfer.items.add(new File(['b'], 'shaker.flac'));
      picker.files = transfer.files;
      picker.dispatchEvent(new Event('change'));
      await element.updateComplete;
    };
    await choose();
    expect(stores.session.added.map(({ name }) => name)).to.deep.equal(['melodica.wav', 'shaker.flac']);
    expect(picker.value).to.equal('');
    await choose();
    expect(stores.session.added.length).to.equal(4);
  });

  it('shows that files are being read', async () => {
    const stores = memoryStores();
    let finish = () => {};
    stores.session.addFiles = () => new Promise((resolve) => (finish = resolve));
    const { element } = await make(stores);
    const picker = inside<HTMLInputElement>(element, 'input[type=file]');
    const transfer = new DataTransfer();
    transfer.items.add(new File(['a'], 'melodica.wav'));
    picker.files = transfer.files;
    picker.dispatchEvent(new Event('change'));
    await element.updateComplete;
    expect(button(element, 'Reading files…').disabled).to.equal(true);
    finish();
    await new Promise((resolve) => setTimeout(resolve));
    await element.updateComplete;
    expect(button(element, 'Add audio files…').disabled).to.equal(false);
  });

  it('replaces an untouched session at once, a changed one only after a question', async () => {
    const { element, stores } = await make();
    button(element, 'New session').click();
    await element.updateComplete;
    expect(stores.session.calls).to.deep.equal(['new']);

    stores.session.dispatch({ type: 'set-matching', on: false });
    await element.updateComplete;
    button(element, 'Demo session').click();
    await element.updateComplete;
    expect(element.asking).to.equal(true);
    expect(stores.session.calls).to.deep.equal(['new']);
    await expect(element).to.be.accessible();
    button(element, 'Keep this session').click();
    expect(element.asking).to.equal(false);
    expect(stores.session.calls).to.deep.equal(['new']);

    button(element, 'Demo session').click();
    await element.updateComplete;
    button(element, 'Open the demo session').click();
    expect(stores.session.calls).to.deep.equal(['new', 'demo']);
  });

  it('undoes and redoes only when there is something to', async () => {
    const { element, stores } = await make();
    expect(button(element, 'Undo').disabled).to.equal(true);
    stores.session.dispatch({ type: 'set-matching', on: false });
    await element.updateComplete;
    button(element, 'Undo').click();
    await element.updateComplete;
    button(element, 'Redo').click();
    expect(stores.session.calls).to.deep.equal(['undo', 'redo']);
  });
});
