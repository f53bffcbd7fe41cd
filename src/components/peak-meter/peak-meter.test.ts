import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { frames, inside, provided } from '../../../tests/browser/fixture/provide.ts';
import { liveFrame, memoryStores } from '../../../tests/browser/fixture/stores.ts';
import { Ballistics } from './ballistics.ts';
import type { PeakMeter } from './peak-meter.ts';
import './peak-meter.ts';

describe('Ballistics', () => {
  it('goes up at once, falls at 20 dB a second and holds the highest value', () => {
    const meter = new Ballistics();
    meter.take(-30, 0);
    meter.take(-6, 10);
    expect(meter.levelDb(10)).to.equal(-6);
    expect(meter.levelDb(510)).to.be.closeTo(-16, 1e-9);
    meter.take(-40, 510);
    expect(meter.levelDb(510)).to.be.closeTo(-16, 1e-9);
    expect(meter.heldDb).to.equal(-6);
    meter.take(-40, 1600);
    expect(meter.heldDb).to.equal(-40);
  });
});

describe('peak-meter', () => {
  it('draws the level at the height the diagram gives it', async () => {
    const stores = memoryStores();
    const { element } = await provided<PeakMeter>(
      html`<peak-meter style="height: 170px" .rackId=${'melodica'} .range=${[-24, 0]}></peak-meter>`,
      stores,
      200,
    );
    await frames();
    stores.live.send(liveFrame('melodica', { cleanPeakDbfs: -200, colouredPeakDbfs: -12 }));
    await frames();
    const canvas = inside<HTMLCanvasElement>(element, 'canvas');
    const ratio = canvas.height / 170;
    const painted = (x: number, y: number) =>
      canvas.getContext('2d')!.getImageData(Math.round(x * ratio), Math.round(y * ratio), 1, 1).data[3] > 200;
    // −12 dB is half way between the insets of 10 px above and 8 px below.
    const half = 10 + (170 - 18) / 2;
    expect(painted(160, half + 12), 'below its level').to.equal(true);
    expect(painted(160, half - 25), 'above its level').to.equal(false);
    expect(painted(82, half + 12), 'the silent side').to.equal(false);
    await expect(element).to.be.accessible();
  });

  it('shows no peak of another rack, of another session or after a stop', async () => {
    const stores = memoryStores();
    const { element } = await provided<PeakMeter>(
      html`<peak-meter style="height: 170px" .rackId=${'melodica'} .range=${[-24, 0]}></peak-meter>`,
      stores,
      200,
    );
    await frames();
    const canvas = inside<HTMLCanvasElement>(element, 'canvas');
    const ratio = canvas.height / 170;
    const bar = () =>
      canvas.getContext('2d')!.getImageData(Math.round(160 * ratio), Math.round(150 * ratio), 1, 1).data[3] > 200;
    const play = async () => {
      element.rackId = 'melodica';
      await element.updateComplete;
      stores.live.send(liveFrame('melodica'));
      await frames();
      expect(bar(), 'while it plays').to.equal(true);
    };
    const events: [string, () => void][] = [
      ['another rack', () => (element.rackId = 'drum')],
      ['a stop', () => stores.live.send(liveFrame('melodica', { stopped: true, colouredPeakDbfs: -200 }))],
      ['another session', () => stores.live.send(null)],
    ];
    for (const [name, happen] of events) {
      await play();
      happen();
      await element.updateComplete;
      await frames();
      expect(bar(), name).to.equal(false);
    }
  });

  it('is described by what stands on the two sides', async () => {
    const { element, stores } = await provided<PeakMeter>(html`<peak-meter></peak-meter>`);
    const label = () => inside(element, 'canvas').getAttribute('aria-label');
    expect(label()).to.equal('Sample peak now: clean on the left, coloured on the right');
    stores.session.dispatch({ type: 'store-scene', id: 's1', name: 'Gentle' });
    stores.session.dispatch({ type: 'store-scene', id: 's2', name: 'Pushed' });
    stores.session.dispatch({ type: 'set-sides', a: 's1', b: 's2' });
    await element.updateComplete;
    expect(label()).to.equal('Sample peak now: Gentle on the left, Pushed on the right');
  });
});
