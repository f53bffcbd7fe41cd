import { expect } from '@open-wc/testing';
import { sendKeys, sendMouse, setViewport } from '@web/test-runner-commands';
import { appOn } from '../../../tests/browser/fixture/app.ts';
import { frames, inside, loadTokens } from '../../../tests/browser/fixture/provide.ts';
import { type MemoryStores, memoryStores } from '../../../tests/browser/fixture/stores.ts';
import { focused } from '../keys/pointed.ts';
import type { LevelBestApp } from './level-best-app.ts';
import './level-best-app.ts';

let stores: MemoryStores;
let app: LevelBestApp;

beforeEach(async () => {
  stores = memoryStores();
  await loadTokens();
  await setViewport({ width: 1400, height: 900 });
  app = await appOn(stores);
});

async function click(element: Element): Promise<void> {
  element.scrollIntoView({ block: 'center' });
  const { left, top, width, height } = element.getBoundingClientRect();
  await sendMouse({ type: 'click', position: [Math.round(left + width / 2), Math.round(top + height / 2)] });
  await frames();
}

const melodica = () => stores.session.document.channels[0].rack;

describe('Space', () => {
  it('plays and stops after a click on a button, which it does not press again', async () => {
    const add = inside(inside(app, 'rack-sheet'), '.catalogue button');
    await click(add);
    expect(melodica().stages.length).to.equal(4);
    await sendKeys({ press: ' ' });
    expect(stores.player.playing).to.equal(true);
    await sendKeys({ press: 'x' });
    await sendKeys({ press: ' ' });
    expect(stores.player.playing).to.equal(false);
    expect(melodica().stages.length, 'one stage, not three').to.equal(4);
  });

  it('presses the button that the keyboard led to', async () => {
    const add = inside(inside(app, 'rack-sheet'), '.catalogue button');
    await click(add);
    await sendKeys({ press: 'Tab' });
    await sendKeys({ down: 'Shift' });
    await sendKeys({ press: 'Tab' });
    await sendKeys({ up: 'Shift' });
    expect(focused()).to.equal(add);
    await sendKeys({ press: ' ' });
    await frames();
    expect(melodica().stages.length).to.equal(5);
    expect(stores.player.playing).to.equal(false);
  });

  it('plays after a click on a switch, a fold and a radio, and leaves them as the click did', async () => {
    const sheet = inside(app, 'rack-sheet');
    await click(inside(sheet, 'header input[role=switch]'));
    expect(melodica().on).to.equal(false);
    await sendKeys({ press: ' ' });
    expect([melodica().on, stores.player.playing]).to.deep.equal([false, true]);
    const fold = inside<HTMLDetailsElement>(inside(sheet, 'rack-routing'), 'details');
    await click(fold.querySelector('summary')!);
    const open = fold.open;
    await sendKeys({ press: ' ' });
    expect([fold.open, stores.player.playing]).to.deep.equal([open, false]);
    await click(inside(inside(sheet, 'matched-switch'), 'label.clean'));
    await sendKeys({ press: ' ' });
    expect([stores.player.side, stores.player.playing]).to.deep.equal(['clean', true]);
  });

  it('and the other keys pass by a list that was used by mouse, but not by one that the keyboard led to', async () => {
    const select = inside<HTMLSelectElement>(inside(inside(app, 'rack-sheet'), 'rack-routing'), 'select');
    inside<HTMLDetailsElement>(inside(inside(app, 'rack-sheet'), 'rack-routing'), 'details').open = true;
    await frames();
    await sendKeys({ press: 'Shift' });
    select.focus();
    await sendKeys({ press: 'x' });
    expect(stores.player.side, 'the list looks for a word with X').to.equal('coloured');
    // A real click would open the list of the system, which no test can close.
    select.dispatchEvent(new PointerEvent('pointerdown', { bubbles: true, composed: true }));
    await sendKeys({ press: 'x' });
    expect(stores.player.side).to.equal('clean');
    await sendKeys({ press: ' ' });
    expect(stores.player.playing).to.equal(true);
  });

  it('plays after a typed value and Enter, and X and 2 go to the switch', async () => {
    const column = inside(inside(app, 'rack-sheet'), 'stage-column');
    const field = inside<HTMLInputElement>(inside(inside(column, 'parameter-control'), 'value-slider'), '.field');
    await click(field);
    await sendKeys({ type: '2' });
    await sendKeys({ press: 'Enter' });
    await frames();
    const moves = stores.session.commands.length;
    expect(moves).to.equal(1);
    await sendKeys({ press: 'x' });
    expect(stores.player.side).to.equal('clean');
    await sendKeys({ press: '2' });
    expect(stores.player.side).to.equal('coloured');
    await sendKeys({ press: ' ' });
    expect(stores.player.playing).to.equal(true);
    expect(stores.session.commands.length).to.equal(moves);
  });

  it('plays after a new name of a session and of a channel', async () => {
    const routing = inside(inside(app, 'rack-sheet'), 'rack-routing');
    inside<HTMLDetailsElement>(routing, 'details').open = true;
    await frames();
    for (const field of [inside(inside(app, 'session-title'), 'input.name'), inside(routing, '#name')]) {
      await click(field);
      await sendKeys({ type: 'y' });
      await sendKeys({ press: 'Enter' });
      const { playing } = stores.player;
      await sendKeys({ press: ' ' });
      expect(stores.player.playing).to.equal(!playing);
    }
    expect(stores.session.commands.map(({ type }) => type)).to.deep.equal(['rename-session', 'set-channel']);
  });
});
