import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, frames, inside, press, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import type { TransportBar } from './transport-bar.ts';
import './transport-bar.ts';

const make = (stores = memoryStores()) => provided<TransportBar>(html`<transport-bar></transport-bar>`, stores, 1000);
const play = (element: Element) => inside<HTMLButtonElement>(element, '.play');

describe('transport-bar', () => {
  it('plays only when it is told to, and stops', async () => {
    const { element, stores } = await make();
    expect(stores.player.playing).to.equal(false);
    expect(textOf(play(element))).to.equal('Play');
    play(element).click();
    await element.updateComplete;
    expect(stores.player.playing).to.equal(true);
    expect(textOf(play(element))).to.equal('Stop');
    play(element).click();
    expect(stores.player.playing).to.equal(false);
    await expect(element).to.be.accessible();
  });

  it('cannot play while loading or when there is nothing', async () => {
    const stores = memoryStores();
    stores.player.set({ state: 'loading' });
    const { element } = await make(stores);
    expect(play(element).disabled).to.equal(true);
    expect(textOf(play(element))).to.equal('Loading…');
    stores.player.set({ state: 'ready', durationSeconds: 0 });
    await element.updateComplete;
    expect(play(element).disabled).to.equal(true);
  });

  it('shows the position as it moves, without rendering again', async () => {
    const { element, stores } = await make();
    expect(textOf(inside(element, '.time'))).to.equal('0:05.0 / 0:24.0');
    await stores.player.play();
    await element.updateComplete;
    stores.player.position = 6.32;
    await frames();
    expect(textOf(inside(element, '.now'))).to.equal('0:06.3');
    stores.player.stop();
  });

  it('mutes at once and releases', async () => {
    const { element, stores } = await make();
    const mute = inside<HTMLButtonElement>(element, '.mute');
    mute.click();
    await element.updateComplete;
    expect(stores.player.panic).to.equal(true);
    expect(mute.getAttribute('aria-pressed')).to.equal('true');
    expect(textOf(mute)).to.equal('Muted');
    await expect(element).to.be.accessible();
    mute.click();
    expect(stores.player.panic).to.equal(false);
  });

  it('says when the guard acts, without moving anything', async () => {
    const { element, stores } = await make();
    const height = element.offsetHeight;
    expect(textOf(inside(element, '[role=status]'))).to.equal('');
    stores.player.set({ guardActing: true });
    await element.updateComplete;
    expect(textOf(inside(element, '[role=status]'))).to.equal('Guard is acting');
    expect(element.offsetHeight).to.equal(height);
    stores.player.set({ guardActing: false, lateShare: 0.114 });
    await element.updateComplete;
    expect(textOf(inside(element, '[role=status]'))).to.equal('Gaps: 11 % late');
    expect(element.offsetHeight).to.equal(height);
  });

  it('sets the monitor level between −60 and 0 dB', async () => {
    const { element, stores } = await make();
    const range = inside(inside(element, '.monitor'), 'input[type=range]');
    press(range, 'End');
    expect(stores.player.monitorDb).to.equal(0);
    press(range, 'Home');
    expect(stores.player.monitorDb).to.equal(-60);
    expect(stores.session.commands).to.deep.equal([]);
  });

  it('clears the loop, and measures the loop or the whole session', async () => {
    const stores = memoryStores();
    const region = { startSeconds: 2, endSeconds: 6.5 };
    stores.session.dispatch({ type: 'set-loop', region });
    const { element } = await make(stores);
    expect(textOf(inside(element, '.loop'))).to.contain('Loop 0:02.0–0:06.5');
    const named = (name: string) =>
      all<HTMLButtonElement>(element, '.loop button').find((one) => textOf(one) === name)!;
    named('Measure loop').click();
    await element.updateComplete;
    named('Measure all').click();
    named('Clear the loop').click();
    expect(stores.session.commands.slice(1)).to.deep.equal([
      { type: 'set-match-region', region },
      { type: 'set-match-region', region: null },
      { type: 'set-loop', region: null },
    ]);
  });
});
