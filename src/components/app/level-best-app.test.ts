import { expect, fixture } from '@open-wc/testing';
import { sendKeys, setViewport } from '@web/test-runner-commands';
import { html } from 'lit';
import { appOn, elements } from '../../../tests/browser/fixture/app.ts';
import { frames, inside, loadTokens, press, textOf } from '../../../tests/browser/fixture/provide.ts';
import { type MemoryStores, memoryStores } from '../../../tests/browser/fixture/stores.ts';
import type { LevelBestApp } from './level-best-app.ts';
import './level-best-app.ts';

let stores: MemoryStores;

const make = () => appOn(stores);

function drag(type: string, files: File[], text = ''): DragEvent {
  const dataTransfer = new DataTransfer();
  for (const file of files) dataTransfer.items.add(file);
  if (text) dataTransfer.setData('text/plain', text);
  const event = new DragEvent(type, { dataTransfer, bubbles: true, cancelable: true });
  document.body.dispatchEvent(event);
  return event;
}

beforeEach(async () => {
  stores = memoryStores();
  await loadTokens();
  await setViewport({ width: 1400, height: 900 });
});

describe('level-best-app', () => {
  it('shows the whole screen, accessible', async () => {
    const app = await make();
    for (const name of [
      'session-title',
      'signal-path',
      'session-figures',
      'rack-sheet',
      'spectrum-plot',
      'transport-bar',
    ]) {
      expect(inside(app, name).offsetHeight, name).to.be.greaterThan(30);
    }
    await expect(app).to.be.accessible();
  });

  it('waits for its stores', async () => {
    const app = await fixture<LevelBestApp>(html`<level-best-app></level-best-app>`);
    expect(app.shadowRoot!.childElementCount).to.equal(0);
    app.sessionStore = stores.session;
    app.playerStore = stores.player;
    app.analysisStore = stores.analysis;
    app.liveStore = stores.live;
    app.noticeStore = stores.notices;
    await app.updateComplete;
    expect(inside(app, 'transport-bar')).to.exist;
  });

  it('has the tone bench behind a tab, which keys reach', async () => {
    const app = await make();
    expect(stores.bench.requests, 'nothing is measured unseen').to.deep.equal([]);
    const programme = inside(app, '#tab-programme');
    programme.focus();
    press(programme, 'ArrowRight');
    await app.updateComplete;
    await app.updateComplete;
    expect(inside(app, 'bench-sheet')).to.exist;
    expect(app.shadowRoot!.querySelector('spectrum-plot')).to.equal(null);
    await frames(6);
    expect(app.shadowRoot!.activeElement?.id).to.equal('tab-bench');
    expect(stores.bench.requests.length).to.equal(1);
    await expect(app).to.be.accessible();
    press(inside(app, '#tab-bench'), 'Home');
    await app.updateComplete;
    expect(inside(app, 'spectrum-plot')).to.exist;
  });

  it('takes dropped files anywhere and shows where they go', async () => {
    const app = await make();
    const file = new File(['x'], 'melodica.wav', { type: 'audio/wav' });
    expect(drag('dragover', [file]).defaultPrevented).to.equal(true);
    await app.updateComplete;
    expect(textOf(inside(app, '.drop'))).to.contain('Drop audio files or a folder here');
    drag('dragleave', [file]);
    await app.updateComplete;
    expect(app.shadowRoot!.querySelector('.drop')).to.equal(null);
    drag('dragenter', [file]);
    expect(drag('drop', [file, new File(['y'], 'shaker.flac')]).defaultPrevented).to.equal(true);
    await app.updateComplete;
    expect(stores.session.added.map(({ name }) => name)).to.deep.equal(['melodica.wav', 'shaker.flac']);
    expect(app.shadowRoot!.querySelector('.drop')).to.equal(null);
  });

  it('opens a session file that is dropped, and takes one among others as files to refuse by name', async () => {
    const app = await make();
    drag('drop', [new File(['{}'], 'sextet.ZIP')]);
    await frames();
    expect(stores.session.calls).to.deep.equal(['open sextet.ZIP']);
    stores.session.dispatch({ type: 'set-matching', on: false });
    drag('drop', [new File(['{}'], 'sextet.json')]);
    await frames();
    expect(inside<HTMLElementTagNameMap['session-title']>(app, 'session-title').asking).to.equal(true);
    expect(stores.session.calls.length).to.equal(1);
    drag('drop', [new File(['x'], 'melodica.wav'), new File(['{}'], 'sextet.json')]);
    expect(stores.session.added.map(({ name }) => name)).to.deep.equal(['melodica.wav', 'sextet.json']);
  });

  it('leaves dragged text alone', async () => {
    const app = await make();
    expect(drag('dragover', [], 'a word').defaultPrevented).to.equal(false);
    expect(drag('drop', [], 'a word').defaultPrevented).to.equal(false);
    await app.updateComplete;
    expect(stores.session.added).to.deep.equal([]);
    expect(app.shadowRoot!.querySelector('.drop')).to.equal(null);
  });

  it('switches, matches, loops and mutes by keys', async () => {
    await make();
    const { player, session } = stores;
    await sendKeys({ press: '1' });
    expect(player.side).to.equal('clean');
    await sendKeys({ press: 'x' });
    expect(player.side).to.equal('coloured');
    await sendKeys({ press: 'x' });
    expect(player.side).to.equal('clean');
    await sendKeys({ press: '3' });
    expect(player.side).to.equal('added');
    await sendKeys({ press: '2' });
    expect(player.side).to.equal('coloured');
    await sendKeys({ press: 'm' });
    player.position = 4;
    await sendKeys({ press: 'i' });
    player.position = 9;
    await sendKeys({ press: 'o' });
    await sendKeys({ press: 'l' });
    expect(session.commands).to.deep.equal([
      { type: 'set-matching', on: false },
      { type: 'set-loop', region: { startSeconds: 4, endSeconds: 24 } },
      { type: 'set-loop', region: { startSeconds: 4, endSeconds: 9 } },
      { type: 'set-loop', region: null },
    ]);
    await sendKeys({ down: 'Shift' });
    await sendKeys({ press: 'M' });
    await sendKeys({ press: 'S' });
    session.selectRack('mix');
    await sendKeys({ press: 'S' });
    await sendKeys({ up: 'Shift' });
    expect(session.commands.slice(4)).to.deep.equal([
      { type: 'set-mute', stripId: 'melodica', on: true },
      { type: 'set-solo', stripId: 'melodica', on: true },
    ]);
    await sendKeys({ press: 'r' });
    expect(stores.levels.resets).to.equal(1);
    await sendKeys({ press: 'Escape' });
    expect(player.panic).to.equal(true);
    await sendKeys({ press: 'Escape' });
    expect(player.panic).to.equal(false);
    expect(player.playing, 'no key but Play starts the sound').to.equal(false);
  });

  it('plays and stops by Space, but not where Space means something else', async () => {
    const app = await make();
    const { player } = stores;
    press(document.body, ' ', { code: 'Space' });
    expect(player.playing).to.equal(true);
    press(document.body, ' ', { code: 'Space' });
    expect(player.playing).to.equal(false);
    press(inside(inside(app, 'session-title'), 'button'), ' ', { code: 'Space' });
    expect(player.playing).to.equal(false);
  });

  it('undoes and redoes by keys', async () => {
    await make();
    const mod = /Mac|iPhone|iPad/.test(navigator.platform) ? { metaKey: true } : { ctrlKey: true };
    stores.session.dispatch({ type: 'set-matching', on: false });
    const modifier = 'metaKey' in mod ? 'Meta' : 'Control';
    await sendKeys({ down: modifier });
    await sendKeys({ press: 'z' });
    await sendKeys({ down: 'Shift' });
    await sendKeys({ press: 'z' });
    await sendKeys({ up: 'Shift' });
    await sendKeys({ up: modifier });
    expect(stores.session.calls).to.deep.equal(['undo', 'redo']);
  });

  it('leaves keys alone while something is typed', async () => {
    const app = await make();
    const column = inside(inside(app, 'rack-sheet'), 'stage-column');
    const field = inside<HTMLInputElement>(inside(inside(column, 'parameter-control'), 'value-slider'), '.field');
    field.focus();
    for (const key of ['1', 'x', 'm', ' ', 'Escape', '?']) await sendKeys({ press: key });
    expect(stores.player.side).to.equal('coloured');
    expect(stores.player.panic).to.equal(false);
    expect(stores.player.playing).to.equal(false);
    expect(stores.session.commands.filter(({ type }) => type !== 'set-parameter')).to.deep.equal([]);
  });

  it('opens the help by ? and leaves Escape to it', async () => {
    const app = await make();
    await sendKeys({ press: '?' });
    const help = inside<HTMLElementTagNameMap['help-sheet']>(app, 'help-sheet');
    expect(help.open).to.equal(true);
    await sendKeys({ press: '1' });
    expect(stores.player.side).to.equal('coloured');
    await sendKeys({ press: 'Escape' });
    expect(help.open).to.equal(false);
    expect(stores.player.panic).to.equal(false);
  });

  it('opens the export by E or from the title block, and the keys are its own', async () => {
    const app = await make();
    const sheet = inside<HTMLElementTagNameMap['take-home-sheet']>(app, 'take-home-sheet');
    await sendKeys({ press: 'e' });
    await frames();
    expect(sheet.open).to.equal(true);
    await sendKeys({ press: '1' });
    expect(stores.player.side).to.equal('coloured');
    await sendKeys({ press: 'Escape' });
    expect(sheet.open).to.equal(false);
    expect(stores.player.panic).to.equal(false);
    inside<HTMLButtonElement>(inside(app, 'session-title'), 'button.export').click();
    await frames();
    expect(sheet.open).to.equal(true);
  });

  it('fits 390 px: nothing sticks out, and play, switch and mute stay in view', async () => {
    await setViewport({ width: 390, height: 844 });
    const app = await make();
    await frames();
    // Firefox keeps room for its scroll bar within the 390.
    expect(document.documentElement.scrollWidth).to.equal(document.documentElement.clientWidth);
    const bar = inside(app, 'transport-bar');
    const reachable = [inside(bar, '.play'), inside(app, 'footer matched-switch'), inside(bar, '.mute')];
    for (const element of reachable) {
      const { top, bottom, height } = element.getBoundingClientRect();
      expect(top).to.be.at.least(0);
      expect(bottom).to.be.at.most(844);
      expect(height).to.be.at.least(32);
    }
    await expect(app).to.be.accessible();
  });

  it('gives fingers at least 32 px on a narrow screen', async () => {
    await setViewport({ width: 390, height: 844 });
    const app = await make();
    const small = [...elements(app.shadowRoot!)].filter((element) => {
      if (!element.matches('button, select, summary, input[type=range], label.switch, .segments')) return false;
      // The marks over the waveform only repeat what the waveform itself reaches.
      if (element.closest('.marks') || element.offsetParent === null) return false;
      const { width, height } = element.getBoundingClientRect();
      return height > 0 && (height < 31.5 || width < 31.5);
    });
    expect(small.map((element) => `${element.localName} ${textOf(element)} ${element.offsetHeight}`)).to.deep.equal([]);
  });

  it('changes over between wide and narrow', async () => {
    const app = await make();
    expect(app.shadowRoot!.querySelector('footer matched-switch')).to.equal(null);
    await setViewport({ width: 600, height: 900 });
    await frames();
    await app.updateComplete;
    expect(inside(app, 'footer matched-switch')).to.exist;
  });

  it('gives a blind trial the whole window and no other key', async () => {
    const app = await make();
    const { session, player, trials } = stores;
    await sendKeys({ press: 'b' });
    await app.updateComplete;
    expect(trials.phase).to.equal('setup');
    expect([...app.shadowRoot!.children].map(({ localName }) => localName)).to.deep.equal(['trial-sheet']);
    await frames();
    await expect(app).to.be.accessible();
    const side = player.side;
    for (const key of ['x', '1', 'm', 'l', 'i', ' ', 'Escape']) {
      await sendKeys({ press: key });
    }
    press(app, 'M', { shiftKey: true });
    press(app, 'z', { ctrlKey: true });
    expect([player.side, player.playing, player.panic]).to.deep.equal([side, false, false]);
    expect([session.commands, session.calls]).to.deep.equal([[], []]);
    drag('drop', [new File(['x'], 'melodica.wav', { type: 'audio/wav' })]);
    await frames();
    expect(session.added).to.deep.equal([]);
    trials.close();
    await app.updateComplete;
    await frames();
    expect(inside(app, 'session-title')).to.exist;
    expect(app.shadowRoot!.activeElement?.localName).to.equal('main');
    await sendKeys({ press: 'm' });
    expect(session.commands.length).to.equal(1);
  });

  it('has a button for it at the switch, once there is sound', async () => {
    stores.player.set({ durationSeconds: 0 });
    const app = await make();
    const button = inside<HTMLButtonElement>(inside(inside(app, 'rack-sheet'), 'matched-switch'), '.trial');
    expect(button.disabled).to.equal(true);
    stores.player.set({ durationSeconds: 24 });
    await frames();
    button.click();
    expect(stores.trials.phase).to.equal('setup');
  });
});
