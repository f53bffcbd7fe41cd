import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, inside, press, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import type { SignalPath } from './signal-path.ts';
import './signal-path.ts';

const make = (stores = memoryStores()) => provided<SignalPath>(html`<signal-path></signal-path>`, stores, 260);
const chosen = (element: SignalPath) => textOf(inside(element, 'button[aria-current=true]'));

/** What holds the focus inside the component. */
const focused = (element: SignalPath) => textOf(element.shadowRoot!.activeElement!);

describe('signal-path', () => {
  it('lists buses with their channels under them, then the mix, with stages and change of PLR', async () => {
    const { element } = await make();
    expect(all(element, 'tbody tr').map(textOf)).to.deep.equal([
      'Reeds bus 1 −0.9 M S',
      'Melodica 3 −2.7 M S',
      'Bass clarinet 1 −0.9 M S',
      'Accordion 1 −0.9 M S',
      'Rhythm bus 1 −0.9 M S',
      'Frame drum 2 −1.8 M S',
      'Shaker 0 0.0 M S',
      'Upright bass 1 −0.9 M S',
      'Mix 1 −0.9',
    ]);
    await expect(element).to.be.accessible();
  });

  it('puts channels without a bus after the buses', async () => {
    const stores = memoryStores();
    stores.session.dispatch({ type: 'set-channel', channelId: 'melodica', busId: null });
    const { element } = await make(stores);
    const names = all(element, 'tbody th button').map(textOf);
    expect(names.slice(-2)).to.deep.equal(['Melodica', 'Mix']);
  });

  it('chooses a rack by a click', async () => {
    const { element, stores } = await make();
    inside<HTMLButtonElement>(element, 'button[data-rack=drum]').click();
    await element.updateComplete;
    expect(stores.session.selectedRack).to.equal('drum');
    expect(chosen(element)).to.equal('Frame drum');
  });

  it('is one stop for Tab, and the arrows choose', async () => {
    const { element, stores } = await make();
    const stops = all<HTMLButtonElement>(element, 'tbody th button').filter(({ tabIndex }) => tabIndex === 0);
    expect(stops.map(textOf)).to.deep.equal(['Melodica']);
    stops[0].focus();
    const go = async (key: string, expected: string) => {
      press(element.shadowRoot!.activeElement!, key);
      await element.updateComplete;
      await element.updateComplete;
      expect(chosen(element), key).to.equal(expected);
      expect(focused(element), key).to.equal(expected);
    };
    await go('ArrowDown', 'Bass clarinet');
    await go('ArrowUp', 'Melodica');
    await go('Home', 'Reeds bus');
    await go('ArrowUp', 'Reeds bus');
    await go('End', 'Mix');
    expect(stores.session.selectedRack).to.equal('mix');
  });

  it('marks channels whose sound is missing and looks for their file', async () => {
    const { element, stores } = await make();
    const { files } = stores.session;
    expect(element.shadowRoot!.querySelector('.missing')).to.equal(null);
    files.set({ missing: new Set(['clarinet', 'bass']) });
    await element.updateComplete;
    const signs = all(element, '.missing');
    expect(signs.map((sign) => textOf(sign.closest('th')!))).to.deep.equal([
      'Bass clarinet no sound: clarinet.flac is missing Find file… for Bass clarinet',
      'Upright bass no sound: bass.flac is missing Find file… for Upright bass',
    ]);
    await expect(element).to.be.accessible();
    const picker = inside<HTMLInputElement>(element, 'input[type=file]');
    let opened = 0;
    picker.click = () => opened++;
    signs[1].querySelector('button')!.click();
    const transfer = new DataTransfer();
    transfer.items.add(new File(['x'], 'bass again.flac'));
    picker.files = transfer.files;
    picker.dispatchEvent(new Event('change'));
    expect(opened).to.equal(1);
    expect(files.calls).to.deep.equal(['find bass bass again.flac']);
    expect(stores.session.selectedRack, 'chooses nothing').to.equal('melodica');
  });

  it('adds a bus and shows it', async () => {
    const { element, stores } = await make();
    inside<HTMLButtonElement>(element, '.heading button:last-of-type').click();
    await element.updateComplete;
    expect(stores.session.document.buses.length).to.equal(3);
    expect(chosen(element)).to.equal('New bus');
  });

  it('turns a rack off without choosing it', async () => {
    const { element, stores } = await make();
    inside<HTMLInputElement>(element, 'input[aria-label="Rack of Frame drum on"]').click();
    expect(stores.session.commands).to.deep.equal([{ type: 'set-rack-on', rackId: 'drum', on: false }]);
    expect(stores.session.selectedRack).to.equal('melodica');
  });

  it('mutes and solos by small buttons with full names, of which Tab reaches those of the chosen row', async () => {
    const { element, stores } = await make();
    const letters = all<HTMLButtonElement>(element, '.letter');
    expect(letters.length).to.equal(16);
    expect(letters.filter(({ tabIndex }) => tabIndex === 0).map((one) => one.getAttribute('aria-label'))).to.deep.equal(
      ['Mute Melodica', 'Solo Melodica'],
    );
    inside(element, '[aria-label="Mute Rhythm bus"]').click();
    inside(element, '[aria-label="Solo Frame drum"]').click();
    await element.updateComplete;
    inside(element, '[aria-label="Mute Rhythm bus"]').click();
    await element.updateComplete;
    expect(inside(element, '[aria-label="Mute Rhythm bus"]').getAttribute('aria-pressed')).to.equal('false');
    expect(inside(element, '[aria-label="Solo Frame drum"]').getAttribute('aria-pressed')).to.equal('true');
    expect(stores.session.commands).to.deep.equal([
      { type: 'set-mute', stripId: 'rhythm', on: true },
      { type: 'set-solo', stripId: 'drum', on: true },
      { type: 'set-mute', stripId: 'rhythm', on: false },
    ]);
    expect(stores.session.selectedRack).to.equal('melodica');
  });

  it('says what solo is heard as, and clears it in one step', async () => {
    const { element, stores } = await make();
    expect(element.shadowRoot!.querySelector('.solo')).to.equal(null);
    for (const stripId of ['drum', 'reeds']) stores.session.dispatch({ type: 'set-solo', stripId, on: true });
    await element.updateComplete;
    expect(textOf(inside(element, '.solo p'))).to.equal(
      'Solo Reeds bus, Frame drum. Heard before what follows; no bus is driven differently.',
    );
    await expect(element).to.be.accessible();
    inside<HTMLInputElement>(element, '.solo input').click();
    await element.updateComplete;
    expect(textOf(inside(element, '.solo p'))).to.contain('The buses work on what is left.');
    stores.session.dispatch({ type: 'set-mute', stripId: 'drum', on: true });
    await element.updateComplete;
    expect(textOf(inside(element, '.solo p')), 'mute counts before solo').to.contain('Frame drum (muted).');
    inside(element, '.solo button').click();
    await element.updateComplete;
    expect(element.shadowRoot!.querySelector('.solo')).to.equal(null);
    expect(stores.session.commands.length, 'one step of undo').to.equal(5);
  });

  it('moves the chosen row by Alt and the arrows, within its bus, and keeps the focus on it', async () => {
    const { element, stores } = await make();
    const order = () => stores.session.document.channels.map(({ id }) => id).join(' ');
    const alt = async (key: string) => {
      press(element.shadowRoot!.activeElement!, key, { altKey: true });
      await element.updateComplete;
      await element.updateComplete;
    };
    inside(element, 'button[data-rack=melodica]').focus();
    await alt('ArrowUp');
    expect(stores.session.commands, 'nowhere to go').to.deep.equal([]);
    await alt('ArrowDown');
    expect(order()).to.equal('clarinet melodica accordion drum shaker bass');
    expect(focused(element)).to.equal('Melodica');
    await alt('End');
    await alt('ArrowDown');
    expect(order()).to.equal('clarinet accordion melodica drum shaker bass');
    stores.session.selectRack('rhythm');
    await element.updateComplete;
    inside(element, 'button[data-rack=rhythm]').focus();
    await alt('ArrowUp');
    expect(stores.session.document.buses.map(({ id }) => id)).to.deep.equal(['rhythm', 'reeds']);
    expect(focused(element)).to.equal('Rhythm bus');
  });

  it('takes a dragged row to another place, another bus or straight to the mix', async () => {
    const { element, stores } = await make();
    const row = (id: string) => inside(element, `button[data-rack=${id}]`).closest('tr')!;
    const drag = async (from: string, to: string) => {
      const dataTransfer = new DataTransfer();
      const send = (target: Element, type: string) =>
        target.dispatchEvent(new DragEvent(type, { dataTransfer, bubbles: true, cancelable: true }));
      send(row(from), 'dragstart');
      await element.updateComplete;
      const taken = !send(row(to), 'dragover');
      await element.updateComplete;
      expect(row(to).classList.contains('target')).to.equal(taken);
      send(row(to), 'drop');
      send(row(from), 'dragend');
      await element.updateComplete;
    };
    const placed = () => stores.session.document.channels.map(({ id, busId }) => `${id}:${busId}`).join(' ');
    await drag('melodica', 'shaker');
    expect(placed()).to.equal('clarinet:reeds accordion:reeds drum:rhythm shaker:rhythm melodica:rhythm bass:rhythm');
    await drag('bass', 'reeds');
    expect(placed()).to.equal('bass:reeds clarinet:reeds accordion:reeds drum:rhythm shaker:rhythm melodica:rhythm');
    await drag('clarinet', 'rhythm');
    expect(placed()).to.equal('bass:reeds accordion:reeds clarinet:rhythm drum:rhythm shaker:rhythm melodica:rhythm');
    await drag('drum', 'mix');
    expect(placed()).to.equal('bass:reeds accordion:reeds clarinet:rhythm shaker:rhythm melodica:rhythm drum:null');
    await drag('rhythm', 'reeds');
    await drag('reeds', 'shaker');
    expect(stores.session.document.buses.map(({ id }) => id)).to.deep.equal(['rhythm', 'reeds']);
    expect(stores.session.commands.length).to.equal(5);
  });

  it('shows a dash with its reason where there is no figure', async () => {
    const stores = memoryStores();
    stores.analysis.set({
      racks: new Map([
        [
          'drum',
          { ...stores.analysis.rack('drum')!, input: null, output: null, reason: 'Silence in the match region' },
        ],
      ]),
    });
    const { element } = await make(stores);
    const cell = (rack: string) =>
      inside(element, `button[data-rack=${rack}]`).closest('tr')!.querySelector('.figure')!;
    expect(textOf(cell('drum'))).to.equal('– Silence in the match region');
    expect(cell('melodica').getAttribute('title')).to.equal('Not measured yet');
  });
});
