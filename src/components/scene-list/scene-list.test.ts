import { expect } from '@open-wc/testing';
import { sendKeys } from '@web/test-runner-commands';
import { html } from 'lit';
import { all, inside, press, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import { emptySession } from '../../session/document.ts';
import type { SceneList } from './scene-list.ts';
import './scene-list.ts';

const make = (stores = memoryStores(), narrow = false) =>
  provided<SceneList>(html`<scene-list ?narrow=${narrow}></scene-list>`, stores, 252);

function button(element: SceneList, name: string): HTMLButtonElement {
  const found = all<HTMLButtonElement>(element, 'button').find(
    (one) => (one.getAttribute('aria-label') ?? textOf(one)) === name,
  );
  if (!found) throw new Error(`no button "${name}"`);
  return found;
}
const names = (element: SceneList) => all<HTMLInputElement>(element, 'li input').map(({ value }) => value);

describe('scene-list', () => {
  it('stores a scene and offers its name for typing', async () => {
    const { element, stores } = await make();
    await expect(element).to.be.accessible();
    button(element, 'Keep scene').click();
    await element.updateComplete;
    await element.updateComplete;
    expect(names(element)).to.deep.equal(['Scene 1']);
    await sendKeys({ type: 'Gentle' });
    await sendKeys({ press: 'Enter' });
    await element.updateComplete;
    expect(stores.session.document.scenes.map(({ name }) => name)).to.deep.equal(['Gentle']);
    await expect(element).to.be.accessible();
  });

  it('gives a new scene no name that another one has', async () => {
    const { element, stores } = await make();
    stores.session.dispatch({ type: 'store-scene', id: 's1', name: 'Scene 2' });
    await element.updateComplete;
    button(element, 'Keep scene').click();
    await element.updateComplete;
    expect(names(element)).to.deep.equal(['Scene 2', 'Scene 3']);
  });

  it('recalls, updates and removes', async () => {
    const { element, stores } = await make();
    const { session } = stores;
    session.dispatch({ type: 'store-scene', id: 's1', name: 'Gentle' });
    session.dispatch({ type: 'clear-rack', rackId: 'melodica' });
    await element.updateComplete;
    button(element, 'Bring back Gentle').click();
    expect(session.document.channels[0].rack.stages.length).to.equal(3);
    session.dispatch({ type: 'clear-rack', rackId: 'melodica' });
    button(element, 'Set to now: Gentle').click();
    expect(session.document.scenes[0].racks.melodica.stages).to.deep.equal([]);
    await element.updateComplete;
    button(element, 'Remove Gentle').click();
    await element.updateComplete;
    expect(session.document.scenes).to.deep.equal([]);
    expect(element.shadowRoot!.querySelector('ul')).to.equal(null);
  });

  it('keeps a name that is emptied', async () => {
    const { element, stores } = await make();
    stores.session.dispatch({ type: 'store-scene', id: 's1', name: 'Gentle' });
    await element.updateComplete;
    const field = inside<HTMLInputElement>(element, 'li input');
    field.value = ' ';
    field.dispatchEvent(new Event('change'));
    expect(field.value).to.equal('Gentle');
    expect(stores.session.commands.length).to.equal(1);
  });

  it('moves all drives together, within the range of the document', async () => {
    const { element, stores } = await make();
    const range = inside(inside(element, 'value-slider'), 'input[type=range]');
    press(range, 'ArrowUp');
    await element.updateComplete;
    press(range, 'End');
    expect(stores.session.commands).to.deep.equal([
      { type: 'set-all-drives', db: 0.5 },
      { type: 'set-all-drives', db: 24 },
    ]);
  });

  it('sets this rack or all racks with stages to alignment, once at a time', async () => {
    const { element, stores } = await make();
    let finish = () => {};
    const asked: (readonly string[])[] = [];
    stores.session.setToAlignment = (racks) => {
      asked.push(racks);
      return new Promise((resolve) => (finish = resolve));
    };
    button(element, 'This rack').click();
    await element.updateComplete;
    expect(textOf(inside(element, '#align'))).to.equal('Aligning…');
    expect(button(element, 'All racks').disabled).to.equal(true);
    finish();
    await new Promise((resolve) => setTimeout(resolve));
    await element.updateComplete;
    button(element, 'All racks').click();
    finish();
    expect(asked).to.deep.equal([
      ['melodica'],
      ['melodica', 'clarinet', 'accordion', 'drum', 'bass', 'reeds', 'rhythm', 'mix'],
    ]);
  });

  it('offers no alignment where there is nothing to align', async () => {
    const { element } = await make(memoryStores(emptySession(48_000)));
    expect(button(element, 'This rack').disabled).to.equal(true);
    expect(button(element, 'All racks').disabled).to.equal(true);
  });

  it('is folded on a narrow screen and open on a wide one', async () => {
    const wide = await make();
    expect(inside<HTMLDetailsElement>(wide.element, 'details').open).to.equal(true);
    const narrow = await make(memoryStores(), true);
    expect(inside<HTMLDetailsElement>(narrow.element, 'details').open).to.equal(false);
  });

  it('says when folded that the drives are moved', async () => {
    const { element, stores } = await make(memoryStores(), true);
    expect(textOf(inside(element, 'summary'))).to.equal('Scenes and drives');
    stores.session.dispatch({ type: 'set-all-drives', db: 3 });
    await element.updateComplete;
    expect(textOf(inside(element, 'summary small'))).to.equal('all drives +3.0 dB');
    expect(inside(element, 'summary small').offsetHeight).to.be.greaterThan(0);
    await expect(element).to.be.accessible();
  });

  it('leaves what is being typed alone while the session changes', async () => {
    const { element, stores } = await make();
    stores.session.dispatch({ type: 'store-scene', id: 's1', name: 'Gentle' });
    await element.updateComplete;
    const field = inside<HTMLInputElement>(element, 'li input');
    field.value = 'Gent';
    stores.session.dispatch({ type: 'set-all-drives', db: 1 });
    await element.updateComplete;
    expect(field.value).to.equal('Gent');
  });

  it('marks the scenes that stand on the sides of the switch, and puts them there', async () => {
    const { element, stores } = await make();
    const { session } = stores;
    session.dispatch({ type: 'store-scene', id: 's1', name: 'Gentle' });
    session.dispatch({ type: 'store-scene', id: 's2', name: 'Pushed' });
    await element.updateComplete;
    const pressed = () => all(element, '.side').map((one) => one.getAttribute('aria-pressed'));
    expect(pressed()).to.deep.equal(['false', 'false', 'false', 'false']);
    button(element, 'Gentle on side A').click();
    await element.updateComplete;
    button(element, 'Pushed on side B').click();
    await element.updateComplete;
    expect(session.document.sides).to.deep.equal({ a: 's1', b: 's2' });
    expect(pressed()).to.deep.equal(['true', 'false', 'false', 'true']);
    await expect(element).to.be.accessible();
    button(element, 'Gentle on side A').click();
    button(element, 'Pushed on side B').click();
    await element.updateComplete;
    expect(session.document.sides).to.deep.equal({ a: 'clean', b: 'current' });
    expect(pressed()).to.deep.equal(['false', 'false', 'false', 'false']);
  });

  it('keeps notes on each scene', async () => {
    const { element, stores } = await make();
    stores.session.dispatch({ type: 'store-scene', id: 's1', name: 'Gentle', notes: 'For the ballad' });
    await element.updateComplete;
    const notes = inside<HTMLElementTagNameMap['note-field']>(element, 'note-field');
    await notes.updateComplete;
    expect(textOf(inside(notes, 'summary'))).to.equal('NotesFor the ballad');
    inside<HTMLDetailsElement>(notes, 'details').open = true;
    const field = inside<HTMLTextAreaElement>(notes, 'textarea');
    field.value = 'For the ballad, not the dance';
    field.dispatchEvent(new Event('change'));
    expect(stores.session.document.scenes[0].notes).to.equal('For the ballad, not the dance');
    const list = inside(element, 'ul');
    expect(list.scrollWidth).to.be.at.most(list.clientWidth);
    await expect(element).to.be.accessible();
  });
});
