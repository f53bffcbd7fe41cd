import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, frames, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import type { TonePlot } from './tone-plot.ts';
import './tone-plot.ts';

async function make(toneDb: readonly (number | null)[] | null, reason: string | null = null) {
  const stores = memoryStores();
  stores.analysis.set({
    racks: new Map([['melodica', { ...stores.analysis.rack('melodica')!, toneDb, reason }]]),
  });
  const { element } = await provided<TonePlot>(
    html`<tone-plot style="height: 240px" .rackId=${'melodica'} .rackName=${'Melodica'}></tone-plot>`,
    stores,
    400,
  );
  await frames();
  await element.updateComplete;
  return element;
}

const tone = Array.from({ length: 29 }, (_, i) => (i === 0 ? null : i === 16 ? 1.5 : i === 20 ? -0.75 : 0));

describe('tone-plot', () => {
  it('draws a bar per band with energy, up for more and down for less', async () => {
    const element = await make(tone);
    const bars = all(element, 'rect');
    expect(bars.length).to.equal(28);
    const zero = Number(
      inside(element, '.zero')
        .getAttribute('d')!
        .match(/M26 ([\d.]+)/)![1],
    );
    const more = bars[15];
    const less = bars[19];
    const number = (bar: Element, name: string) => Number(bar.getAttribute(name));
    expect(number(more, 'y') + number(more, 'height')).to.be.closeTo(zero, 1);
    expect(number(less, 'y')).to.be.closeTo(zero, 1);
    expect(number(more, 'height') / number(less, 'height')).to.be.closeTo(2, 0.02);
    expect(inside(element, 'svg').getAttribute('aria-label')).to.equal(
      'Melodica: tonal difference from −0.8 dB at 2.5 k Hz to +1.5 dB at 1 k Hz. The table has every band.',
    );
    await expect(element).to.be.accessible();
  });

  it('widens its scale for large differences instead of cutting them', async () => {
    const labels = (element: TonePlot) => all(element, 'text').slice(0, 3).map(textOf);
    expect(labels(await make(tone))).to.deep.equal(['−3', '0', '+3']);
    expect(labels(await make(tone.map((db) => db && 3 * db)))).to.deep.equal(['−6', '0', '+6']);
  });

  it('says why there is nothing to draw', async () => {
    const element = await make(null, 'Silence in the match region.');
    expect(textOf(inside(element, '.message'))).to.equal('Silence in the match region.');
    expect(all(element, 'rect')).to.deep.equal([]);
  });

  it('has a table behind it, with dashes that say why', async () => {
    const element = await make(tone);
    inside<HTMLButtonElement>(element, 'button').click();
    await element.updateComplete;
    const rows = all(element, 'tbody tr');
    expect(textOf(rows[0])).to.equal('25 – No energy in this band');
    expect(textOf(rows[16])).to.equal('1 k +1.50');
    await expect(element).to.be.accessible();
  });

  it('says whose tone it is where a scene stands on side B', async () => {
    const { element, stores } = await provided<TonePlot>(html`<tone-plot .rackId=${'melodica'}></tone-plot>`);
    expect(textOf(inside(element, 'h2'))).to.equal('Tone out minus in, third octaves, dB');
    stores.session.dispatch({ type: 'store-scene', id: 's1', name: 'Gentle' });
    stores.session.dispatch({ type: 'store-scene', id: 's2', name: 'Pushed' });
    stores.session.dispatch({ type: 'set-sides', a: 's1', b: 's2' });
    await element.updateComplete;
    expect(textOf(inside(element, 'h2'))).to.equal('Tone Pushed, out minus in, third octaves, dB');
  });
});
