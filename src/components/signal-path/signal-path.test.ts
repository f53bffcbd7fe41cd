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
      'Reeds bus 1 −0.9',
      'Melodica 3 −2.7',
      'Bass clarinet 1 −0.9',
      'Accordion 1 −0.9',
      'Rhythm bus 1 −0.9',
      'Frame drum 2 −1.8',
      'Shaker 0 0.0',
      'Upright bass 1 −0.9',
      'Mix 1 −0.9',
    ]);
    await expect(element).to.be.accessible();
  });

  it('puts channels without a bus after the buses', async () => {
    const stores = memoryStores();
    stores.session.dispatch({ type: 'set-channel', channelId: 'melodica', busId: null });
    const { element } = await make(stores);
    const names = all(element, 'tbody button').map(textOf);
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
    const stops = all<HTMLButtonElement>(element, 'tbody button').filter(({ tabIndex }) => tabIndex === 0);
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

  it('adds a bus and shows it', async () => {
    const { element, stores } = await make();
    inside<HTMLButtonElement>(element, '.heading button').click();
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
