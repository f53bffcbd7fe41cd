import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import type { KeptSession } from '../../stores/kept-store.ts';
import type { SessionList } from './session-list.ts';
import './session-list.ts';

const session = (id: string, more: Partial<KeptSession> = {}): KeptSession => ({
  id,
  name: id,
  changed: Date.UTC(2026, 10, 29, 12, 0),
  channels: 6,
  open: 'nowhere',
  unreadable: null,
  ...more,
});

async function make(sessions: KeptSession[]) {
  const made = await provided<SessionList>(html`<session-list></session-list>`);
  const { kept } = made.stores.session.files;
  kept.set({ sessions });
  await made.element.show();
  const press = async (name: string) => {
    const button = all<HTMLButtonElement>(made.element, 'button').find((one) => textOf(one) === name);
    if (!button) throw new Error(`no button "${name}"`);
    button.click();
    await new Promise((resolve) => setTimeout(resolve));
    await made.element.updateComplete;
  };
  return { ...made, kept, press };
}

describe('session-list', () => {
  it('says that there is none yet', async () => {
    const { element } = await make([]);
    expect(textOf(inside(element, 'dialog'))).to.contain('There is none yet.');
    await expect(element).to.be.accessible();
  });

  it('shows each by name, date and size, and what can be done with it', async () => {
    const { element } = await make([
      session('Pier', { open: 'here', channels: 1 }),
      session('Lighthouse', { open: 'elsewhere' }),
      session('Dunes'),
    ]);
    const rows = all(element, 'li').map(textOf);
    expect(rows[0]).to.match(/^Pier\s*29 Nov 2026, \d\d:\d\d · 1 channel · open here\s*Duplicate: Pier$/);
    expect(rows[1]).to.match(/· 6 channels · open in another tab\s*Open a copy: Lighthouse\s*Duplicate: Lighthouse$/);
    expect(rows[2]).to.match(/6 channels\s*Open: Dunes\s*Duplicate: Dunes\s*Discard…: Dunes$/);
    await expect(element).to.be.accessible();
  });

  it('opens one, or a copy of one, and closes', async () => {
    const { element, kept, press } = await make([session('Lighthouse', { open: 'elsewhere' }), session('Dunes')]);
    await press('Open: Dunes');
    expect(element.open).to.equal(false);
    await element.show();
    await press('Open a copy: Lighthouse');
    expect(kept.calls).to.deep.equal(['look', 'open Dunes', 'look', 'open a copy of Lighthouse']);
  });

  it('duplicates one and stays', async () => {
    const { element, kept, press } = await make([session('Dunes')]);
    await press('Duplicate: Dunes');
    expect(kept.calls).to.deep.equal(['look', 'duplicate Dunes']);
    expect(element.open).to.equal(true);
  });

  it('discards one only when that is said twice', async () => {
    const { element, kept, press } = await make([session('Dunes'), session('Pier')]);
    await press('Discard…: Dunes');
    expect(kept.calls).to.deep.equal(['look']);
    await expect(element).to.be.accessible();
    await press('Discard for good: Dunes');
    expect(kept.calls).to.deep.equal(['look', 'discard Dunes']);
    expect(all(element, 'li').length).to.equal(1);
  });

  it('saves one that can not be read, and gives it up only when that is said twice', async () => {
    const { element, kept, press } = await make([
      session('From tomorrow', { unreadable: 'newer' }),
      session('Torn', { unreadable: 'damaged' }),
    ]);
    expect(textOf(inside(element, 'h3'))).to.equal('Kept, not readable here');
    expect(all(element, 'small').map(textOf)[0]).to.match(/^of a newer Level Best: save it and open it there, since/);
    await press('Save…: From tomorrow');
    await press('Discard…: Torn');
    await press('Discard for good: Torn');
    expect(kept.calls).to.deep.equal(['look', 'save From tomorrow', 'discard Torn']);
    await expect(element).to.be.accessible();
  });
});
