import { expect } from '@open-wc/testing';
import { sendKeys } from '@web/test-runner-commands';
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
    expect(inside<HTMLInputElement>(element, '.name').value).to.equal('Harbour Hall sextet');
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

  it('shows how far the reading of files is, and ends it', async () => {
    const { element, stores } = await make();
    const { files } = stores.session;
    expect(element.shadowRoot!.querySelector('progress')).to.equal(null);
    files.set({ reading: { done: 2, total: 12, file: 'bass clarinet.wav', step: 'reading', share: 0.25 } });
    await element.updateComplete;
    expect(textOf(inside(element, '.reading label'))).to.equal('Reading 3 of 12: bass clarinet.wav');
    expect(inside<HTMLProgressElement>(element, 'progress').position).to.be.closeTo(2.25 / 12, 1e-9);
    await expect(element).to.be.accessible();
    button(element, 'Stop').click();
    expect(files.calls).to.deep.equal(['stop']);
    files.set({ reading: { done: 0, total: 1, file: 'shaker.wav', step: 'decoding', share: 0.5 } });
    await element.updateComplete;
    expect(textOf(inside(element, '.reading label'))).to.equal('Decoding shaker.wav');
    expect(inside<HTMLProgressElement>(element, 'progress').position).to.equal(0.5);
    button(element, 'Stop').click();
    expect(files.calls, 'one alone can be stopped, too').to.deep.equal(['stop', 'stop']);
  });

  it('asks for a folder', async () => {
    const { element, stores } = await make();
    button(element, 'Add a folder…').click();
    expect(stores.session.files.calls).to.deep.equal(['folder']);
  });

  it('counts a question about another version among its own', async () => {
    const { element, stores } = await make();
    const audio = { file: 'a.wav', sha256: '0'.repeat(64), sampleRate: 48_000, channelCount: 1, frames: 48_000 };
    stores.session.files.set({ versions: [{ id: 1, channels: ['Melodica'], file: audio, before: audio }] });
    await element.updateComplete;
    await inside<HTMLElementTagNameMap['version-question']>(element, 'version-question').updateComplete;
    expect(element.asking).to.equal(true);
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
    expect(textOf(inside(element, 'dialog p'))).to.contain('“Harbour Hall sextet” stays in this browser');
    button(element, 'Stay here').click();
    expect(element.asking).to.equal(false);
    expect(stores.session.calls).to.deep.equal(['new']);

    button(element, 'Demo session').click();
    await element.updateComplete;
    button(element, 'Open the demo session').click();
    expect(stores.session.calls).to.deep.equal(['new', 'demo']);
  });

  it('offers to save first, and gives way only to a session that was saved', async () => {
    const { element, stores } = await make();
    stores.session.isOld = true;
    stores.session.saves = false;
    button(element, 'New session').click();
    await element.updateComplete;
    const saveFirst = async () => {
      button(element, 'Save with audio first…').click();
      await new Promise((resolve) => setTimeout(resolve));
      await element.updateComplete;
    };
    await saveFirst();
    expect(stores.session.calls).to.deep.equal(['save with audio']);
    expect(element.asking).to.equal(true);
    stores.session.saves = true;
    await saveFirst();
    expect(stores.session.calls).to.deep.equal(['save with audio', 'save with audio', 'new']);
    expect(element.asking).to.equal(false);
  });

  it('says when the session would be lost', async () => {
    const { element, stores } = await make();
    stores.session.isOld = true;
    stores.session.files.kept.set({ isKept: false });
    button(element, 'Demo session').click();
    await element.updateComplete;
    expect(textOf(inside(element, 'dialog p'))).to.contain("doesn't keep “Harbour Hall sextet”: it goes with all");
  });

  it('lists the sessions of the browser', async () => {
    const { element, stores } = await make();
    button(element, 'Sessions…').click();
    await new Promise((resolve) => setTimeout(resolve, 50));
    expect(stores.session.files.kept.calls).to.deep.equal(['look']);
    expect(element.asking).to.equal(true);
  });

  it('says what undo took back, where the summary stands, until something else is done', async () => {
    const { element, stores } = await make();
    stores.session.set({ undone: 'Undid: drive of Melodica stage 1', redoAbout: 'drive of Melodica stage 1' });
    await element.updateComplete;
    const line = inside(element, '.facts p');
    expect(textOf(inside(element, '[role=status]'))).to.equal('Undid: drive of Melodica stage 1');
    expect(textOf(line)).to.equal('Undid: drive of Melodica stage 1');
    expect(button(element, 'Redo').title).to.equal('Redo drive of Melodica stage 1');
    const { height } = line.getBoundingClientRect();
    stores.session.set({ undone: null });
    await element.updateComplete;
    expect(textOf(line)).to.equal('6 channels, 2 buses, mix');
    expect(line.getBoundingClientRect().height).to.equal(height);
    await expect(element).to.be.accessible();
  });

  it('asks about a session that was made earlier, too', async () => {
    const { element, stores } = await make();
    stores.session.isOld = true;
    button(element, 'New session').click();
    await element.updateComplete;
    expect(element.asking).to.equal(true);
    expect(stores.session.calls).to.deep.equal([]);
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

  it('renames the session, but not to nothing, and Escape takes it back', async () => {
    const { element, stores } = await make();
    const name = inside<HTMLInputElement>(element, '.name');
    name.select();
    await sendKeys({ type: 'Harbour Hall, second pass' });
    await sendKeys({ press: 'Enter' });
    expect(stores.session.document.name).to.equal('Harbour Hall, second pass');
    await element.updateComplete;
    name.select();
    await sendKeys({ press: 'Backspace' });
    await sendKeys({ press: 'Enter' });
    expect(name.value).to.equal('Harbour Hall, second pass');
    name.select();
    await sendKeys({ type: 'No' });
    await sendKeys({ press: 'Escape' });
    expect(name.value).to.equal('Harbour Hall, second pass');
    expect(stores.session.commands.length).to.equal(1);
  });

  it('saves with and without audio and keeps notes', async () => {
    const { element, stores } = await make();
    inside<HTMLDetailsElement>(element, 'details').open = true;
    button(element, 'Save session…').click();
    await element.updateComplete;
    expect(button(element, 'Save with audio…').disabled, 'one at a time').to.equal(true);
    await new Promise((resolve) => setTimeout(resolve));
    await element.updateComplete;
    button(element, 'Save with audio…').click();
    await element.updateComplete;
    const notes = inside<HTMLTextAreaElement>(inside(element, 'note-field'), 'textarea');
    notes.value = 'Second pass';
    notes.dispatchEvent(new Event('change'));
    expect(stores.session.calls).to.deep.equal(['save', 'save with audio']);
    expect(stores.session.commands).to.deep.equal([
      { type: 'set-notes', place: { kind: 'session' }, notes: 'Second pass' },
    ]);
    await expect(element).to.be.accessible();
  });

  it('asks for the export, and shows how far one is that goes on behind', async () => {
    const { element, stores } = await make();
    inside<HTMLDetailsElement>(element, 'details').open = true;
    let asked = 0;
    element.addEventListener('take-home-request', () => asked++);
    button(element, 'Export…').click();
    expect(asked).to.equal(1);
    stores.takeHome.set({ work: { what: 'export', doing: 'Rendering and writing', share: 0.429 } });
    await element.updateComplete;
    button(element, 'Rendering and writing… 42 %').click();
    expect(asked).to.equal(2);
  });

  it('opens a chosen session file, after a question where changes would go', async () => {
    const { element, stores } = await make();
    const picker = inside<HTMLInputElement>(element, '#session');
    const choose = async () => {
      const transfer = new DataTransfer();
      transfer.items.add(new File(['{}'], 'sextet.json'));
      picker.files = transfer.files;
      picker.dispatchEvent(new Event('change'));
      await element.updateComplete;
      await element.updateComplete;
    };
    await choose();
    expect(stores.session.calls).to.deep.equal(['open sextet.json']);
    stores.session.dispatch({ type: 'set-matching', on: false });
    await choose();
    expect(element.asking).to.equal(true);
    expect(textOf(inside(element, 'dialog h2'))).to.equal('Open “sextet.json”?');
    await expect(element).to.be.accessible();
    expect(stores.session.calls.length).to.equal(1);
    button(element, 'Open it').click();
    expect(stores.session.calls).to.deep.equal(['open sextet.json', 'open sextet.json']);
  });
});
