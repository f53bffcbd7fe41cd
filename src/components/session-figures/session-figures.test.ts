import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { side } from '../../../tests/browser/fixture/figures.ts';
import { all, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import type { SessionFigures } from './session-figures.ts';
import './session-figures.ts';

const make = (stores = memoryStores()) =>
  provided<SessionFigures>(html`<session-figures></session-figures>`, stores, 250);
const cells = (element: Element, row: number) => [...all(element, 'tbody tr')[row].querySelectorAll('td')].map(textOf);

describe('session-figures', () => {
  it('sets both sides and their difference side by side', async () => {
    const { element } = await make();
    expect(all(element, 'tbody th').map(textOf)).to.deep.equal([
      'Loudness LUFS',
      'True peak dBTP',
      'Asymmetry dB',
      'PLR dB',
      'Limiting to −14 dB',
      'DC dBFS',
      'Added %',
    ]);
    expect(cells(element, 0)).to.deep.equal(['−18.4', '−18.4', '0.0']);
    expect(cells(element, 1)).to.deep.equal(['−2.1', '−4.9', '−2.8']);
    expect(cells(element, 2)).to.deep.equal(['+0.3', '+1.4', '+1.1']);
    expect(cells(element, 5)).to.deep.equal(['−96', '−94', '']);
    expect(cells(element, 6)).to.deep.equal(['', '1.9', '']);
    await expect(element).to.be.accessible();
  });

  it('shows dashes that say why, and takes no difference from them', async () => {
    const stores = memoryStores();
    stores.analysis.set({ status: 'working', progress: 0.4, coloured: null, clean: side({ dcDbfs: null }) });
    const { element } = await make(stores);
    expect(cells(element, 0)).to.deep.equal(['−18.4', '– Being measured', '– Being measured']);
    expect(cells(element, 5)[0]).to.equal('– Being measured');
    expect(textOf(inside(element, '.working'))).to.equal('measuring 40 %');
  });

  it('dims while measuring without moving anything', async () => {
    const { element, stores } = await make();
    const height = element.offsetHeight;
    stores.analysis.set({ status: 'working', progress: 0.1 });
    await element.updateComplete;
    expect(inside(element, 'table').classList.contains('stale')).to.equal(true);
    expect(element.offsetHeight).to.equal(height);
  });

  it('names the region when only a part is measured, and says when measuring failed', async () => {
    const stores = memoryStores();
    stores.session.dispatch({ type: 'set-match-region', region: { startSeconds: 4, endSeconds: 9.5 } });
    stores.analysis.set({ status: 'failed' });
    const { element } = await make(stores);
    expect(textOf(inside(element, '.heading'))).to.equal('Mix, 0:04.0–0:09.5 measuring failed');
  });

  it('calls nothing measured while a session is being opened, nor where there is nothing to measure', async () => {
    const { element, stores } = await make();
    const status = () => textOf(inside(element, '.heading small'));
    expect(status()).to.equal('measured ✓');
    stores.player.set({ state: 'loading' });
    await element.updateComplete;
    expect(status()).to.equal('opening…');
    stores.player.set({ state: 'idle' });
    stores.analysis.set({ clean: null, coloured: null, mixMatch: null, addedPercent: null });
    await element.updateComplete;
    expect(status()).to.equal('no sound yet');
    stores.analysis.set({ status: 'failed' });
    await element.updateComplete;
    expect(inside(element, 'table').className, 'old figures after a failure').to.equal('stale');
  });

  it('is headed by what stands on the two sides of the switch', async () => {
    const { element, stores } = await make();
    const heads = () => all(element, 'thead th').map(textOf);
    expect(heads()).to.deep.equal(['clean', 'coloured', 'change']);
    const name = 'A scene with a name beyond any column';
    stores.session.dispatch({ type: 'store-scene', id: 's1', name });
    stores.session.dispatch({ type: 'set-sides', a: 's1' });
    stores.session.dispatch({ type: 'set-scope', scope: { kind: 'only', rackId: 'drum' } });
    await element.updateComplete;
    expect(heads()).to.deep.equal([`Frame drum: ${name}`, 'now', 'change']);
    expect(inside(element, 'thead th').title).to.equal(`Side A: ${name}, Frame drum only`);
    expect(element.scrollWidth).to.be.at.most(250);
    await expect(element).to.be.accessible();
  });
});
