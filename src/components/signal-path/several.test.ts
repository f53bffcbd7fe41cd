import { expect } from '@open-wc/testing';
import { sendKeys } from '@web/test-runner-commands';
import { html } from 'lit';
import { all, frames, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import type { SignalPath } from './signal-path.ts';
import './signal-path.ts';

async function make() {
  const stores = memoryStores();
  const { element } = await provided<SignalPath>(html`<signal-path></signal-path>`, stores, 252);
  const button = (id: string) => inside<HTMLButtonElement>(element, `button[data-rack=${id}]`);
  const click = async (id: string, init: MouseEventInit = {}) => {
    button(id).dispatchEvent(new MouseEvent('click', { bubbles: true, ...init }));
    await frames(2);
  };
  const selected = () =>
    all(element, 'tbody tr[aria-selected=true] button[data-rack]')
      .map(({ dataset }) => dataset.rack)
      .join(' ');
  const bar = () => inside(element, 'path-actions');
  const menu = async (name: string, item: string) => {
    const found = all(bar(), 'action-menu').find((one) => one.getAttribute('label') === name)!;
    inside<HTMLButtonElement>(found, '.opener').click();
    await frames(2);
    all<HTMLButtonElement>(found, '[role=menuitem]')
      .find((one) => textOf(one) === item)!
      .click();
    await frames(2);
  };
  const chord = async (modifier: string, key: string) => {
    await sendKeys({ down: modifier });
    await sendKeys({ press: key });
    await sendKeys({ up: modifier });
    await frames(2);
  };
  return { stores, element, button, click, selected, bar, menu, chord };
}

const COMMAND = /Mac|iPhone|iPad/.test(navigator.platform) ? 'Meta' : 'Control';

describe('several rows of the signal path', () => {
  it('are selected by Shift and by Ctrl with a click, and by a click alone no more', async () => {
    const { element, stores, click, selected } = await make();
    expect(selected()).to.equal('melodica');
    await click('drum', { shiftKey: true });
    expect(selected()).to.equal('melodica clarinet accordion rhythm drum');
    expect(stores.session.selectedRack).to.equal('drum');
    await click('rhythm', { ctrlKey: true });
    await click('mix', { metaKey: true });
    expect(selected()).to.equal('melodica clarinet accordion drum mix');
    expect(textOf(inside(element, '.count'))).to.equal('5 selected');
    await expect(element).to.be.accessible();
    await click('mix', { ctrlKey: true });
    expect(stores.session.selectedRack, 'what is shown is always selected').to.equal('drum');
    await click('shaker');
    expect(selected()).to.equal('shaker');
    await click('shaker', { ctrlKey: true });
    expect(selected(), 'one stays').to.equal('shaker');
  });

  it('are selected by keys: Shift and the arrows, Ctrl with arrows and Space, Ctrl A for all channels', async () => {
    const { button, selected, chord, stores } = await make();
    button('melodica').focus();
    await chord('Shift', 'ArrowDown');
    await chord('Shift', 'ArrowDown');
    expect(selected()).to.equal('melodica clarinet accordion');
    await chord('Shift', 'ArrowUp');
    expect(selected()).to.equal('melodica clarinet');
    await chord(COMMAND, 'End');
    expect(selected(), 'only the focus went').to.equal('melodica clarinet');
    await chord(COMMAND, ' ');
    expect(selected()).to.equal('melodica clarinet mix');
    await sendKeys({ press: 'Home' });
    expect(selected()).to.equal('reeds');
    button('bass').focus();
    await chord(COMMAND, 'a');
    expect(selected()).to.equal('melodica clarinet accordion drum shaker bass');
    expect(stores.session.commands).to.deep.equal([]);
  });

  it('keep room for what can be done with them', async () => {
    const { bar, click } = await make();
    const { height } = bar().getBoundingClientRect();
    await click('clarinet', { shiftKey: true });
    expect(bar().getBoundingClientRect().height).to.be.closeTo(height, 1);
    expect(bar().scrollWidth).to.be.at.most(bar().clientWidth);
  });

  it('are muted, soloed and made louder together, each in one step', async () => {
    const { stores, bar, click, button, chord } = await make();
    stores.session.dispatch({ type: 'set-channel', channelId: 'clarinet', gainDb: -6 });
    await click('reeds');
    await click('clarinet', { shiftKey: true });
    const [mute] = all<HTMLButtonElement>(bar(), 'button.icon');
    mute.click();
    await frames(2);
    const strips = () => {
      const { channels, buses } = stores.session.document;
      return [...buses.slice(0, 1), ...channels.slice(0, 3)];
    };
    expect(strips().map(({ mute }) => mute)).to.deep.equal([true, true, true, false]);
    expect(mute.getAttribute('aria-pressed')).to.equal('true');
    button('clarinet').focus();
    await chord('Shift', 'M');
    expect(strips().map(({ mute }) => mute)).to.deep.equal([false, false, false, false]);
    await chord('Shift', 'S');
    expect(strips().map(({ solo }) => solo)).to.deep.equal([true, true, true, false]);
    const field = inside<HTMLInputElement>(inside(bar(), 'value-slider'), '.field');
    field.focus();
    await sendKeys({ type: '-1.5' });
    await sendKeys({ press: 'Enter' });
    await frames(2);
    expect(strips().map(({ gainDb }) => gainDb)).to.deep.equal([-1.5, -1.5, -7.5, 0]);
    expect(field.value, 'nothing is left to add').to.equal('0.0 dB');
    expect(stores.session.commands.length).to.equal(5);
  });

  it('play into a bus, a new one or the mix together', async () => {
    const { stores, click, menu } = await make();
    await click('clarinet', { shiftKey: true });
    await click('mix', { ctrlKey: true });
    const into = () => stores.session.document.channels.map(({ busId }) => busId).join(' ');
    await menu('Bus', 'To Rhythm bus');
    expect(into()).to.equal('rhythm rhythm reeds rhythm rhythm rhythm');
    await menu('Bus', 'Straight to the mix');
    expect(into()).to.equal('  reeds rhythm rhythm rhythm');
    expect(stores.session.commands.length).to.equal(2);
    await menu('Bus', 'To a new bus');
    expect(new Set(into().split(' ').slice(0, 2)).size).to.equal(1);
    expect(stores.session.document.buses.length).to.equal(3);
  });

  it('get a stage each, or the stages of the shown rack, and are switched', async () => {
    const { stores, click, menu } = await make();
    await click('shaker');
    await click('melodica', { ctrlKey: true });
    await click('mix', { ctrlKey: true });
    await click('drum', { ctrlKey: true });
    const counts = () => {
      const { channels, mix } = stores.session.document;
      return [...channels, mix].map(({ rack }) => rack.stages.length).join(' ');
    };
    expect(counts()).to.equal('3 1 1 2 0 1 1');
    await menu('Racks', 'Add Soft clip to each');
    expect(counts()).to.equal('4 1 1 3 1 1 2');
    await menu('Racks', 'Copy Frame drum to the others');
    expect(counts()).to.equal('3 1 1 3 3 1 3');
    await menu('Racks', 'Racks off');
    expect(stores.session.document.channels.map(({ rack }) => rack.on)).to.deep.equal([
      false,
      true,
      true,
      false,
      false,
      true,
    ]);
  });

  it('keep their order when they are dragged onto a bus, a channel or the mix', async () => {
    const { stores, click, button } = await make();
    const drag = async (from: string, to: string) => {
      const dataTransfer = new DataTransfer();
      const send = (id: string, type: string) =>
        button(id)
          .closest('tr')!
          .dispatchEvent(new DragEvent(type, { dataTransfer, bubbles: true, cancelable: true }));
      send(from, 'dragstart');
      send(to, 'dragover');
      send(to, 'drop');
      send(from, 'dragend');
      await frames(2);
    };
    const placed = () => stores.session.document.channels.map(({ id, busId }) => `${id}:${busId}`).join(' ');
    await click('accordion', { shiftKey: true });
    await drag('clarinet', 'rhythm');
    expect(placed()).to.equal('melodica:rhythm clarinet:rhythm accordion:rhythm drum:rhythm shaker:rhythm bass:rhythm');
    await drag('melodica', 'shaker');
    expect(placed()).to.equal('drum:rhythm shaker:rhythm melodica:rhythm clarinet:rhythm accordion:rhythm bass:rhythm');
    await drag('accordion', 'mix');
    expect(placed()).to.equal('drum:rhythm shaker:rhythm bass:rhythm melodica:null clarinet:null accordion:null');
    await drag('melodica', 'clarinet');
    expect(stores.session.commands.length, 'not onto themselves; one step each').to.equal(3);
    await drag('bass', 'reeds');
    expect(placed(), 'a row that is not selected goes alone').to.equal(
      'drum:rhythm shaker:rhythm bass:reeds melodica:null clarinet:null accordion:null',
    );
  });

  it('have gain and bus in their rows', async () => {
    const { element, stores } = await make();
    inside(element, '.tools button').click();
    await frames(2);
    await expect(element).to.be.accessible();
    const row = inside(element, 'button[data-rack=drum]').closest('tr')!;
    const field = inside<HTMLInputElement>(row.querySelector('value-slider')!, '.field');
    field.focus();
    await sendKeys({ type: '-3' });
    await sendKeys({ press: 'Enter' });
    field.focus();
    await sendKeys({ press: 'ArrowUp' });
    const select = row.querySelector('select')!;
    select.value = 'reeds';
    select.dispatchEvent(new Event('change'));
    await frames(2);
    const { gainDb, busId } = stores.session.document.channels.find(({ id }) => id === 'drum')!;
    expect([gainDb, busId]).to.deep.equal([-2.5, 'reeds']);
    expect(stores.session.selectedRack).to.equal('melodica');
  });
});
