import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, frames, inside, press, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { liveFrame, memoryStores, settledFrame } from '../../../tests/browser/fixture/stores.ts';
import type { LiveFrame } from '../../stores/live-store.ts';
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
    const button = inside<HTMLButtonElement>(element, '.table');
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

  it('asks for nothing but switches on what it is told: resolution, window, hold, scale, in the store', async () => {
    const { element, stores } = await make();
    const toggle = inside<HTMLButtonElement>(element, '.set');
    expect(toggle.getAttribute('aria-expanded')).to.equal('false');
    toggle.click();
    await element.updateComplete;
    const settings = inside<HTMLElementTagNameMap['analyser-settings']>(element, 'analyser-settings');
    await settings.updateComplete;
    const [points, window_, , scale] = all<HTMLSelectElement>(settings, 'select');
    const choose = async (select: HTMLSelectElement, label: string) => {
      select.selectedIndex = [...select.options].findIndex((option) => option.label === label);
      select.dispatchEvent(new Event('change'));
      await element.updateComplete;
      await settings.updateComplete;
    };
    await choose(points, '65536 samples');
    await choose(window_, 'True levels');
    await choose(scale, 'Noise density, dBFS in 1 Hz');
    all<HTMLInputElement>(settings, 'input')[0].click();
    expect(stores.live.settings).to.deep.equal({
      points: 65536,
      window: 'hft116d',
      averageSeconds: 0.4,
      peakHold: true,
      scale: 'density',
    });
    await element.updateComplete;
    expect(textOf(inside(element, 'h2'))).to.equal('Spectrum Melodica out, dBFS in 1 Hz');
    await expect(element).to.be.accessible();
  });

  it('tilts the drawing only, and says so', async () => {
    const { element, stores } = await make();
    inside<HTMLButtonElement>(element, '.set').click();
    await element.updateComplete;
    const settings = inside<HTMLElementTagNameMap['analyser-settings']>(element, 'analyser-settings');
    await settings.updateComplete;
    const tilt = all<HTMLSelectElement>(settings, 'select')[4];
    tilt.selectedIndex = 1;
    tilt.dispatchEvent(new Event('change'));
    await element.updateComplete;
    expect(textOf(inside(element, 'h2'))).to.contain('drawn with 3 dB an octave');
    stores.live.send(liveFrame('melodica', { clean: new Float32Array(240).fill(-30) }));
    inside<HTMLButtonElement>(element, '.table').click();
    await element.updateComplete;
    expect(textOf(all(element, 'tbody tr')[0])).to.match(/^25 −30\.0/);
  });

  it('reads the curves by a cursor that keys and pointer move', async () => {
    const { element, stores } = await make();
    stores.live.send(
      settledFrame('melodica', {
        clean: new Float32Array(240).fill(-30),
        coloured: new Float32Array(240).fill(-24),
        added: new Float32Array(240).fill(-200),
      }),
    );
    const cursor = inside(element, '.cursor');
    const reading = () => textOf(inside(element, '.reading'));
    expect(reading()).to.equal('');
    cursor.focus();
    expect(reading()).to.equal('220 Hz, A3: clean −30.0, coloured −24.0, added –');
    expect(cursor.getAttribute('aria-valuetext')).to.equal(reading());
    press(cursor, 'PageUp');
    expect(reading()).to.match(/^440 Hz, A4:/);
    press(cursor, 'ArrowRight');
    expect(reading()).to.match(/^446 Hz, A4 \+25 ct:/);
    press(cursor, 'End');
    press(cursor, 'ArrowRight');
    expect(reading()).to.match(/^20000 Hz/);
    press(cursor, 'Delete');
    expect(reading()).to.equal('');
    expect(press(cursor, 'Escape').defaultPrevented, 'the panic key stays free').to.equal(false);
    cursor.blur();
    const { left, width, top } = inside(element, 'canvas').getBoundingClientRect();
    const middle = left + 64 + (width - 70) / 2;
    cursor.dispatchEvent(new PointerEvent('pointermove', { clientX: middle, clientY: top + 20 }));
    expect(reading()).to.match(/^632 Hz/);
    cursor.dispatchEvent(new PointerEvent('pointerleave'));
    expect(reading()).to.equal('');
  });

  it('marks the harmonics of the strongest tone, odd and even, and can do without', async () => {
    const { element, stores } = await make();
    stores.live.send(settledFrame('melodica'));
    await frames();
    expect(count(element, 'odd')).to.be.greaterThan(60);
    expect(count(element, 'even')).to.be.greaterThan(20);
    inside<HTMLButtonElement>(element, '.set').click();
    await element.updateComplete;
    const settings = inside<HTMLElementTagNameMap['analyser-settings']>(element, 'analyser-settings');
    await settings.updateComplete;
    all<HTMLInputElement>(settings, 'input')[1].click();
    await element.updateComplete;
    await frames();
    expect(count(element, 'odd')).to.equal(0);
  });

  it('marks nothing where no tone stands out, and says so in the table', async () => {
    const { element, stores } = await make();
    stores.live.send(settledFrame('melodica', { standingTone: null }));
    await frames();
    expect(count(element, 'odd')).to.equal(0);
    inside<HTMLButtonElement>(element, '.table').click();
    await element.updateComplete;
    expect(textOf(inside(element, '.part'))).to.equal('Strongest line, coloured: no tone stands out by itself');
    expect(all(element, 'tbody tr').map(textOf).join()).not.to.contain('H3');
  });

  it('reads the top of a line wherever the cursor meets it, and lists each third octave by its highest line', async () => {
    const { element, stores } = await make();
    const frame = liveFrame('melodica', {
      clean: new Float32Array(240).fill(-90),
      coloured: new Float32Array(240).fill(-90),
    });
    // 3 kHz lies between the middles of the bands 2.5 k and 3.15 k: as a sample of the curve it would be missed.
    const third = frame.frequencies.findIndex((hz) => hz >= 3000) - 1;
    frame.coloured[third] = -41.3;
    stores.live.send(frame);
    const cursor = inside(element, '.cursor');
    const { left, width, top } = inside(element, 'canvas').getBoundingClientRect();
    const x = left + 64 + ((width - 70) * third) / 239;
    for (const off of [-0.4, 0, 0.4]) {
      cursor.dispatchEvent(
        new PointerEvent('pointermove', { clientX: x + (off * (width - 70)) / 239, clientY: top + 20 }),
      );
      expect(textOf(inside(element, '.reading'))).to.contain('coloured −41.3');
    }
    inside<HTMLButtonElement>(element, '.table').click();
    await element.updateComplete;
    const rows = all(element, 'tbody tr').map(textOf);
    expect(rows.find((row) => row.startsWith('3.15 k'))).to.match(/−90\.0 ?−41\.3/);
    expect(rows.find((row) => row.startsWith('2.5 k'))).to.match(/−90\.0 ?−90\.0/);
  });

  it('explains DC that the coloured side has alone, and slow products; the plot stays where it is', async () => {
    const { element, stores } = await make();
    const plot = inside(element, '.plot');
    const heights = new Set<number>();
    let now = 0;
    const realNow = performance.now;
    performance.now = () => now;
    let changes = 0;
    let shown = '';
    // A second of sound in steps of the text's own interval.
    const hear = async (seconds: number, over: (step: number) => Partial<LiveFrame>) => {
      for (let step = 0; step < 2 * seconds; step++) {
        now += 500;
        stores.live.send(liveFrame('melodica', over(step)));
        await element.updateComplete;
        const text = textOf(inside(element, '.note'));
        if (text !== shown) changes++;
        shown = text;
        heights.add(plot.getBoundingClientRect().height);
      }
    };
    try {
      await hear(3, () => ({ cleanDcDbfs: -70, colouredDcDbfs: -66 }));
      expect(shown, 'the clean side has it too').to.equal('');
      await hear(3, () => ({ cleanDcDbfs: -110, colouredDcDbfs: -60 }));
      expect(shown).to.match(/^DC, made by asymmetry/);
      await hear(3, () => ({ cleanDcDbfs: -110, colouredDcDbfs: -60, slowProductsDbfs: -65 }));
      expect(shown).to.match(/^DC and slow products/);
      expect(textOf(inside(element, '.slow'))).to.equal('slow products −65 dBFS');
      await expect(element).to.be.accessible();
      changes = 0;
      // Music on the limits: DC from −75 to −95 every second, slow products from −65 to −85.
      await hear(22, (step) => ({
        cleanDcDbfs: -110,
        colouredDcDbfs: step % 3 === 0 ? -75 : -95,
        slowProductsDbfs: step % 4 < 2 ? -65 : -85,
      }));
      expect(changes).to.equal(0);
      await hear(8, () => ({ cleanDcDbfs: -110, colouredDcDbfs: -110, slowProductsDbfs: -100 }));
      expect(shown).to.equal('');
      stores.live.send(liveFrame('melodica', { missedBlocks: 3, waiting: true }));
      await hear(1, () => ({ missedBlocks: 3, waiting: true }));
      expect(textOf(inside(element, '.state'))).to.equal('3 blocks missed, picture waits');
      const cursor = inside(element, '.cursor');
      cursor.focus();
      heights.add(plot.getBoundingClientRect().height);
    } finally {
      performance.now = realNow;
    }
    expect([...heights]).to.have.lengthOf(1);
  });

  it('keeps the last picture after a stop and says so; forgets it when it is of nothing any more', async () => {
    const { element, stores } = await make();
    stores.live.send(liveFrame('melodica'));
    stores.live.send(liveFrame('melodica', { stopped: true }));
    await element.updateComplete;
    await frames();
    expect(textOf(inside(element, '.state'))).to.equal('as it was last');
    expect(count(element, 'coloured')).to.be.greaterThan(100);
    stores.live.send(null);
    await element.updateComplete;
    await frames();
    expect(textOf(inside(element, '.message'))).to.equal('Play to see the spectrum.');
    expect(count(element, 'coloured')).to.equal(0);
    expect(textOf(inside(element, '.dc'))).to.equal('');
  });

  it('says why nothing will be seen any more, in place of the picture', async () => {
    const { element, stores } = await make();
    stores.live.send(liveFrame('melodica'));
    await element.updateComplete;
    stores.live.send(null);
    stores.live.set({ fault: 'The analyser stopped twice. Reload the page.' });
    await element.updateComplete;
    await frames();
    expect(textOf(inside(element, '.message'))).to.equal('The analyser stopped twice. Reload the page.');
    expect(count(element, 'coloured')).to.equal(0);
  });

  it('shows the low band on an axis of its own once it is there', async () => {
    const { element, stores } = await make();
    stores.live.send(liveFrame('melodica'));
    inside<HTMLButtonElement>(element, '.low').click();
    await element.updateComplete;
    expect(textOf(inside(element, '.message'))).to.equal('The low band needs 2.7 s of sound.');
    stores.live.send(settledFrame('melodica'));
    await element.updateComplete;
    await frames();
    expect(element.shadowRoot!.querySelector('.message')).to.equal(null);
    expect(count(element, 'coloured')).to.be.greaterThan(100);
    const cursor = inside(element, '.cursor');
    cursor.focus();
    press(cursor, 'Home');
    expect(textOf(inside(element, '.reading'))).to.match(/^0\.0 Hz: clean –/);
    press(cursor, 'PageUp');
    expect(textOf(inside(element, '.reading'))).to.match(/^5\.0 Hz: clean −\d/);
    await expect(element).to.be.accessible();
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

  it('names the scenes that stand on the two sides', async () => {
    const { element, stores } = await make();
    stores.live.send(liveFrame('melodica'));
    const keys = () => all(element, '.key').map(textOf);
    expect(keys()).to.deep.equal(['clean', 'coloured', 'added']);
    stores.session.dispatch({ type: 'store-scene', id: 's1', name: 'Gentle' });
    stores.session.dispatch({ type: 'store-scene', id: 's2', name: 'Pushed' });
    stores.session.dispatch({ type: 'set-sides', a: 's1', b: 's2' });
    await element.updateComplete;
    expect(keys()).to.deep.equal(['Gentle', 'Pushed', 'difference']);
    expect(textOf(inside(element, '.dc'))).to.match(/^DC apart: Gentle −98, Pushed −87 dBFS$/);
    inside(element, 'button.table').click();
    await element.updateComplete;
    expect(all(element, 'thead th').map(textOf)).to.deep.equal(['Hz', 'Gentle', 'Pushed', 'difference']);
    await expect(element).to.be.accessible();
  });
});
