import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { match } from '../../../tests/browser/fixture/figures.ts';
import { all, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import type { MatchList } from './match-list.ts';
import './match-list.ts';

async function make(stores = memoryStores()) {
  const made = await provided<MatchList>(html`<match-list></match-list>`, stores, 250);
  inside<HTMLDetailsElement>(made.element, 'details').open = true;
  await new Promise((resolve) => setTimeout(resolve));
  await made.element.updateComplete;
  return made;
}
const rows = (element: Element) => all(element, 'tbody tr').map(textOf);

describe('match-list', () => {
  it('lists every rack that has stages, and the session', async () => {
    const { element, stores } = await make();
    const { channels, buses, mix } = stores.session.document;
    const named = [...channels, ...buses].filter(({ rack }) => rack.stages.length > 0).map(({ name }) => name);
    const names = all(element, 'tbody th').map(textOf);
    expect(names).to.deep.equal([...named, ...(mix.rack.stages.length > 0 ? ['Mix rack'] : []), 'Session']);
    expect(rows(element).at(-1)).to.equal('Session +0.12 0.00 −0.4 +0.6');
    expect(element.scrollWidth).to.be.at.most(250);
    await expect(element).to.be.accessible();
  });

  it('says what is provisional, what is not known, and when nothing of it is applied', async () => {
    const { element, stores } = await make();
    stores.analysis.set({ mixMatch: match({ gainDb: -0.5, quality: 'provisional', errorLu: 0.11 }) });
    await element.updateComplete;
    expect(rows(element).at(-1)).to.contain('−0.50 ±0.11');
    stores.analysis.set({ mixMatch: null, racks: new Map() });
    await element.updateComplete;
    expect(rows(element).at(-1)).to.equal('Session – – –');
    expect(all(element, 'p')).to.have.length(0);
    stores.session.dispatch({ type: 'set-matching', on: false });
    await element.updateComplete;
    expect(textOf(inside(element, 'p'))).to.equal('Matching is off: these gains are not applied.');
  });

  it('names in words whatever is more than 0.1 LU off', async () => {
    const { element, stores } = await make();
    stores.analysis.set({ mixMatch: match({ gainDb: 28.2, residualLu: -3.15, matched: false }) });
    await element.updateComplete;
    expect(textOf(inside(element, 'p.missed'))).to.equal(
      'Not matched: the session is off by −3.15 LU. Lower the drive, or measure another stretch.',
    );
    expect(element.scrollWidth).to.be.at.most(250);
    await expect(element).to.be.accessible();
  });

  it('leads to the rack', async () => {
    const { element, stores } = await make();
    const button = inside<HTMLButtonElement>(element, 'tbody button');
    button.click();
    expect(stores.session.document.channels.find(({ id }) => id === stores.session.selectedRack)?.name).to.equal(
      textOf(button),
    );
  });
});
