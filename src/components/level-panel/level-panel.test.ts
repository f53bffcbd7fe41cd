import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { liveLevels, memoryStores, sideLevels } from '../../../tests/browser/fixture/stores.ts';
import type { LevelPanel } from './level-panel.ts';
import './level-panel.ts';

async function make(show: LevelPanel['show'] = 'output') {
  return provided<LevelPanel>(
    html`<level-panel .rackId=${'melodica'} .show=${show}></level-panel>`,
    memoryStores(),
    300,
  );
}

const rows = (element: LevelPanel) => all(element, 'tbody tr').map(textOf);

describe('level-panel', () => {
  it('shows dashes with the reason until there is sound, and none of another rack', async () => {
    const { element, stores } = await make();
    expect(rows(element)[0]).to.equal('M LUFS – Nothing has played yet – Nothing has played yet');
    stores.levels.set({ latest: liveLevels('drum') });
    await element.updateComplete;
    expect(rows(element)[0]).to.contain('Nothing has played yet');
    await expect(element).to.be.accessible();
  });

  it('shows both sides, and a dash where a figure needs more sound', async () => {
    const { element, stores } = await make();
    stores.levels.set({
      latest: liveLevels('melodica', { coloured: sideLevels({ truePeakDbtp: -8, shortTermLufs: null }) }),
    });
    await element.updateComplete;
    expect(rows(element)[0]).to.equal('M LUFS −19.2 −19.2');
    expect(rows(element)[1]).to.equal('S LUFS −20.1 – Not enough sound yet, or none above −70 LUFS');
    expect(rows(element)[3]).to.equal('TP dBTP −6.2 −8.0');
    expect(all(element, 'tbody tr')[0].title).to.contain('highest −16.8 and −16.8 LUFS');
    await expect(element).to.be.accessible();
  });

  it('keeps what was known of the settings before apart until there is something of those of now', async () => {
    const { element, stores } = await make();
    const none = sideLevels({ momentaryLufs: null, truePeakDbtp: null });
    stores.levels.set({
      latest: liveLevels('melodica', {
        coloured: none,
        former: { clean: null, input: null, coloured: sideLevels({ truePeakDbtp: -7.4 }) },
      }),
    });
    await element.updateComplete;
    expect(rows(element)[3]).to.equal('TP dBTP −6.2 −7.4 with the settings before');
    expect(all(element, '.former').length).to.equal(2);
    await expect(element).to.be.accessible();
    stores.levels.set({ latest: liveLevels('melodica', { coloured: sideLevels({ truePeakDbtp: -10.2 }) }) });
    await element.updateComplete;
    expect(rows(element)[3]).to.equal('TP dBTP −6.2 −10.2');
    expect(all(element, '.former').length).to.equal(0);
  });

  it('starts anew by its button', async () => {
    const { element, stores } = await make();
    stores.levels.set({ latest: liveLevels('melodica') });
    await element.updateComplete;
    inside<HTMLButtonElement>(element, 'button').click();
    await element.updateComplete;
    expect(stores.levels.resets).to.equal(1);
    expect(rows(element)[2]).to.contain('–');
  });

  it('shows what comes into the rack', async () => {
    const { element, stores } = await make('input');
    stores.levels.set({ latest: liveLevels('melodica', { input: sideLevels({ momentaryLufs: -33 }) }) });
    await element.updateComplete;
    expect(all(element, 'dl div').map(textOf)).to.deep.equal([
      'M LUFS −33.0',
      'S LUFS −20.1',
      'I LUFS −20.6',
      'dBTP −6.2',
      'PLR 14.4',
    ]);
    await expect(element).to.be.accessible();
  });

  it('is headed by the scenes that stand on the two sides', async () => {
    const { element, stores } = await make();
    const heads = () => all(element, 'thead th').map(textOf);
    expect(heads()).to.deep.equal(['clean', 'coloured']);
    stores.session.dispatch({ type: 'store-scene', id: 's1', name: 'Gentle' });
    stores.session.dispatch({ type: 'store-scene', id: 's2', name: 'Pushed' });
    stores.session.dispatch({ type: 'set-sides', a: 's1', b: 's2' });
    await element.updateComplete;
    expect(heads()).to.deep.equal(['Gentle', 'Pushed']);
  });
});
