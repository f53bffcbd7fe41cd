import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, inside, press, provided } from '../../../tests/browser/fixture/provide.ts';
import type { RackRouting } from './rack-routing.ts';
import './rack-routing.ts';

async function make(rackId: string) {
  const made = await provided<RackRouting>(html`<rack-routing .rackId=${rackId}></rack-routing>`);
  const details = made.element.shadowRoot!.querySelector('details');
  if (details) details.open = true;
  return made;
}

describe('rack-routing', () => {
  it('sets what follows a channel: gain, balance, bus and name', async () => {
    const { element, stores } = await make('melodica');
    const [gain, balance] = all(element, 'value-slider');
    press(inside(gain, 'input[type=range]'), 'ArrowDown');
    press(inside(balance, 'input[type=range]'), 'ArrowUp');
    const into = inside<HTMLSelectElement>(element, 'select');
    expect([...into.options].map(({ text }) => text)).to.deep.equal(['Mix', 'Reeds bus', 'Rhythm bus', 'a new bus']);
    expect(into.value).to.equal('reeds');
    into.value = '';
    into.dispatchEvent(new Event('change'));
    const name = inside<HTMLInputElement>(element, '#name');
    name.value = ' Lead melodica ';
    name.dispatchEvent(new Event('change'));
    expect(stores.session.commands).to.deep.equal([
      { type: 'set-channel', channelId: 'melodica', gainDb: -0.5 },
      { type: 'set-channel', channelId: 'melodica', pan: 5 },
      { type: 'set-channel', channelId: 'melodica', busId: null },
      { type: 'set-channel', channelId: 'melodica', name: 'Lead melodica' },
    ]);
    await expect(element).to.be.accessible();
  });

  it('keeps the name when it is emptied', async () => {
    const { element, stores } = await make('melodica');
    const name = inside<HTMLInputElement>(element, '#name');
    name.value = '  ';
    name.dispatchEvent(new Event('change'));
    expect(name.value).to.equal('Melodica');
    expect(stores.session.commands).to.deep.equal([]);
  });

  it('removes the channel', async () => {
    const { element, stores } = await make('drum');
    inside<HTMLButtonElement>(element, 'button').click();
    expect(stores.session.commands).to.deep.equal([{ type: 'remove-channel', channelId: 'drum' }]);
  });

  it('makes a new bus for a channel, and falls back where there is no room', async () => {
    const { element, stores } = await make('melodica');
    const into = inside<HTMLSelectElement>(element, 'select');
    const choose = async () => {
      into.value = into.options[into.options.length - 1].value;
      into.dispatchEvent(new Event('change'));
      await element.updateComplete;
    };
    await choose();
    const { channels, buses } = stores.session.document;
    expect(buses.length).to.equal(3);
    expect(channels[0].busId).to.equal(buses[2].id);
    expect(into.value).to.equal(buses[2].id);
    stores.session.addBus = () => null;
    await choose();
    expect(into.value).to.equal(buses[2].id);
  });

  it('renames and removes a bus', async () => {
    const { element, stores } = await make('reeds');
    const name = inside<HTMLInputElement>(element, '#name');
    name.value = 'Winds';
    name.dispatchEvent(new Event('change'));
    inside<HTMLButtonElement>(element, 'button').click();
    expect(stores.session.commands).to.deep.equal([
      { type: 'rename-bus', busId: 'reeds', name: 'Winds' },
      { type: 'remove-bus', busId: 'reeds' },
    ]);
    await expect(element).to.be.accessible();
  });

  it('sets the gain of a bus, and shows nothing behind the mix', async () => {
    const { element, stores } = await make('reeds');
    press(inside(inside(element, 'value-slider'), 'input[type=range]'), 'PageUp');
    expect(stores.session.commands).to.deep.equal([{ type: 'set-bus-gain', busId: 'reeds', gainDb: 5 }]);
    const mix = await make('mix');
    expect(mix.element.shadowRoot!.childElementCount).to.equal(0);
  });
});
