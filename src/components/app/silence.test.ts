import { expect } from '@open-wc/testing';
import { sendKeys, setViewport } from '@web/test-runner-commands';
import { appOn, elements } from '../../../tests/browser/fixture/app.ts';
import { frames, inside, loadTokens, press, textOf } from '../../../tests/browser/fixture/provide.ts';
import { type MemoryStores, memoryStores } from '../../../tests/browser/fixture/stores.ts';
import { focused } from '../keys/pointed.ts';
import './level-best-app.ts';

let stores: MemoryStores;

const make = () => appOn(stores);

const CONTROLS = 'button, select, input, textarea, summary, a[href], [tabindex], [contenteditable]';

/** What can hold the focus now. */
function focusable(root: ParentNode): HTMLElement[] {
  return [...elements(root)].filter((element) => element.matches(CONTROLS) && element.checkVisibility());
}

async function unfoldAll(root: ParentNode): Promise<void> {
  for (const element of elements(root)) if (element instanceof HTMLDetailsElement) element.open = true;
  await frames();
}

/** Presses Escape at each of them while it sounds; returns those at which it went on sounding. */
async function loudAt(list: () => Promise<HTMLElement[]>): Promise<{ tried: number; loud: string[] }> {
  const { player } = stores;
  const loud: string[] = [];
  let tried = 0;
  for (let at = 0; at < (await list()).length; at++) {
    const element = (await list())[at];
    element.focus();
    if (focused() !== element) continue;
    tried++;
    player.set({ playing: true, state: 'running', panic: false });
    await sendKeys({ press: 'Escape' });
    if (!player.panic) loud.push(`${element.localName} ${element.getAttribute('aria-label') ?? textOf(element)}`);
  }
  return { tried, loud };
}

beforeEach(async () => {
  stores = memoryStores();
  await loadTokens();
  await setViewport({ width: 1400, height: 900 });
});

describe('Escape', () => {
  it('silences from everything on the screen that can have the focus', async function () {
    this.timeout(60_000);
    const app = await make();
    await unfoldAll(app.shadowRoot!);
    const list = focusable(app.shadowRoot!);
    const { tried, loud } = await loudAt(async () => list);
    expect(loud).to.deep.equal([]);
    expect(tried).to.be.greaterThan(100);
  });

  it('silences from everything in every dialog, which closes with it', async function () {
    this.timeout(120_000);
    const app = await make();
    const title = inside<HTMLElementTagNameMap['session-title']>(app, 'session-title');
    const openers: readonly [name: string, open: () => unknown][] = [
      ['help', () => inside<HTMLElementTagNameMap['help-sheet']>(app, 'help-sheet').show()],
      ['export', () => inside<HTMLElementTagNameMap['take-home-sheet']>(app, 'take-home-sheet').show()],
      ['curve', () => inside<HTMLElementTagNameMap['transfer-sheet']>(app, 'transfer-sheet').show('melodica', 'm1')],
      ['sessions', () => inside<HTMLElementTagNameMap['session-list']>(title, 'session-list').show()],
      [
        'question',
        () => {
          stores.session.isOld = true;
          return title.openFile(new File(['{}'], 'other.json'));
        },
      ],
    ];
    for (const [name, open] of openers) {
      const openDialog = () => [...elements(app.shadowRoot!)].find((one) => one.matches('dialog[open]'));
      const { tried, loud } = await loudAt(async () => {
        if (!openDialog()) {
          void open();
          await frames(2);
        }
        return focusable(openDialog()!);
      });
      expect(loud, name).to.deep.equal([]);
      expect(tried, name).to.be.greaterThan(0);
      await sendKeys({ press: 'Escape' });
      expect(openDialog()?.outerHTML, name).to.equal(undefined);
    }
  });

  it('silences while a word is composed, and where an open list keeps the key’s way down', async () => {
    const app = await make();
    const { player } = stores;
    const name = inside<HTMLInputElement>(inside(app, 'session-title'), 'input.name');
    name.focus();
    player.set({ playing: true });
    press(name, 'Process', { code: 'Escape', isComposing: true });
    expect(player.panic).to.equal(true);
    name.dispatchEvent(new KeyboardEvent('keyup', { key: 'Escape', bubbles: true, composed: true }));
    player.set({ panic: false });
    name.dispatchEvent(new KeyboardEvent('keyup', { key: 'Escape', bubbles: true, composed: true }));
    expect(player.panic).to.equal(true);
  });

  it('brings no sound back from a field or a dialog, and mutes nothing where nothing sounds', async () => {
    const app = await make();
    const { player } = stores;
    const title = inside(app, 'session-title');
    player.set({ playing: true, panic: true });
    inside(title, 'input.name').focus();
    await sendKeys({ press: 'Escape' });
    expect(player.panic, 'from a name').to.equal(true);
    inside<HTMLElementTagNameMap['help-sheet']>(app, 'help-sheet').show();
    await sendKeys({ press: 'Escape' });
    expect(player.panic, 'with a dialog').to.equal(true);
    await sendKeys({ press: 'Escape' });
    expect(player.panic, 'by itself').to.equal(false);
    player.set({ playing: false, state: 'ready' });
    inside(title, 'input.name').focus();
    await sendKeys({ press: 'Escape' });
    expect(player.panic).to.equal(false);
  });

  it('stops the session while a blind trial is set up, with the focus in a figure or a list', async () => {
    const app = await make();
    stores.trials.open();
    await frames(4);
    const setup = inside(inside(app, 'trial-sheet'), 'trial-setup');
    for (const selector of ['select', 'input[type=radio]', '.listen']) {
      stores.player.set({ playing: true });
      inside(setup, selector).focus();
      await sendKeys({ press: 'Escape' });
      expect(stores.player.playing, selector).to.equal(false);
    }
    stores.player.set({ playing: true });
    inside(inside(setup, 'value-slider'), '.field').focus();
    await sendKeys({ press: 'Escape' });
    expect(stores.player.playing).to.equal(false);
  });
});
