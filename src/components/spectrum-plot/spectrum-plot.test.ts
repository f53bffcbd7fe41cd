import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, frames, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { liveFrame, memoryStores } from '../../../tests/browser/fixture/stores.ts';
import type { SpectrumPlot } from './spectrum-plot.ts';
import './spectrum-plot.ts';

async function make(stores = memoryStores()) {
  const made = await provided<SpectrumPlot>(
    html`<spectrum-plot style="height: 260px" .rackId=${'melodica'} .rackName=${'Melodica'}></spectrum-plot>`,
    stores,
    600,
  );
  await frames();
  return made;
}

/** How many pixels of the plot have roughly this colour. */
function count(element: SpectrumPlot, token: string): number {
  const probe = document.createElement('i');
  probe.style.color = `var(--${token})`;
  document.body.append(probe);
  const [r, g, b] = getComputedStyle(probe).color.match(/\d+/g)!.map(Number);
  probe.remove();
  const canvas = inside<HTMLCanvasElement>(element, 'canvas');
  const { data } = canvas.getContext('2d')!.getImageData(0, 0, canvas.width, canvas.height);
  let found = 0;
  for (let i = 0; i < data.length; i += 4) {
    const near = Math.abs(data[i] - r) + Math.abs(data[i + 1] - g) + Math.abs(data[i + 2] - b) < 24;
    if (near && data[i + 3] > 200) found++;
  }
  return found;
}

describe('spectrum-plot', () => {
  it('asks to play while there is nothing to see', async () => {
    const { element, stores } = await make();
    expect(textOf(inside(element, '.message'))).to.equal('Play to see the spectrum.');
    expect(count(element, 'coloured')).to.equal(0);
    stores.live.send(liveFrame('drum'));
    await frames();
    expect(count(element, 'coloured'), "another rack's frame").to.equal(0);
    await expect(element).to.be.accessible();
  });

  it('draws the coloured side heavier than the clean one, past the render cycle', async () => {
    const { element, stores } = await make();
    stores.live.send(liveFrame('melodica', { added: new Float32Array(240).fill(-200) }));
    await frames();
    const coloured = count(element, 'coloured');
    stores.live.send(
      liveFrame('melodica', {
        added: new Float32Array(240).fill(-200),
        coloured: new Float32Array(240).fill(-200),
        colouredDcDbfs: -200,
      }),
    );
    await frames();
    const clean = count(element, 'clean');
    expect(clean).to.be.greaterThan(100);
    expect(coloured).to.be.greaterThan(1.2 * clean);
    expect(element.shadowRoot!.querySelector('.message')).to.equal(null);
  });

  it('gives DC apart, and a dash for none', async () => {
    const { element, stores } = await make();
    stores.live.send(liveFrame('melodica', { cleanDcDbfs: -200, colouredDcDbfs: -87.4 }));
    await frames();
    expect(textOf(inside(element, '.dc'))).to.equal('DC apart: clean –, coloured −87 dBFS');
  });

  it('has a table behind it', async () => {
    const { element, stores } = await make();
    stores.live.send(
      liveFrame('melodica', { clean: new Float32Array(240).fill(-30), added: new Float32Array(240).fill(-200) }),
    );
    const button = inside<HTMLButtonElement>(element, 'button');
    button.click();
    await element.updateComplete;
    expect(button.getAttribute('aria-pressed')).to.equal('true');
    const rows = all(element, 'tbody tr');
    expect(rows.length).to.equal(stores.analysis.toneFrequencies.length);
    expect(textOf(rows[16])).to.match(/^1 k −30\.0 ?−\d+\.\d ?–$/);
    await expect(element).to.be.accessible();
    button.click();
    await element.updateComplete;
    await frames();
    expect(count(element, 'coloured')).to.be.greaterThan(100);
  });

  it('lets the live store go when it leaves', async () => {
    const { element, stores } = await make();
    let calls = 0;
    const before = stores.live.onFrame.bind(stores.live);
    stores.live.onFrame = (listener) => {
      calls++;
      const release = before(listener);
      return () => {
        calls--;
        release();
      };
    };
    element.requestUpdate();
    await element.updateComplete;
    expect(calls).to.equal(1);
    element.remove();
    expect(calls).to.equal(0);
  });
});
