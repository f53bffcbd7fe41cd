import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, frames, inside, press, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import type { WaveLine } from './wave-line.ts';
import './wave-line.ts';

async function make(stores = memoryStores()) {
  const { element } = await provided<WaveLine>(html`<wave-line></wave-line>`, stores, 480);
  await frames();
  const line = inside(element, '.line');
  const { left, width } = line.getBoundingClientRect();
  const pointer = (type: string, seconds: number) =>
    line.dispatchEvent(
      new PointerEvent(type, { clientX: left + (seconds / 24) * width, button: 0, pointerId: 1, bubbles: true }),
    );
  // There is no real pointer to capture here.
  line.setPointerCapture = () => {};
  return { element, line, stores, pointer };
}

describe('wave-line', () => {
  it('seeks by a click', async () => {
    const { stores, pointer } = await make();
    pointer('pointerdown', 12);
    pointer('pointerup', 12);
    expect(stores.player.position).to.be.closeTo(12, 0.05);
    expect(stores.session.commands).to.deep.equal([]);
  });

  it('makes a loop by a drag, in either direction, and does not seek', async () => {
    const { stores, pointer } = await make();
    pointer('pointerdown', 14);
    pointer('pointermove', 10);
    pointer('pointermove', 6);
    pointer('pointerup', 6);
    expect(stores.player.position).to.equal(5);
    const [command] = stores.session.commands;
    if (command?.type !== 'set-loop' || !command.region) throw new Error('no loop');
    expect(command.region.startSeconds).to.be.closeTo(6, 0.05);
    expect(command.region.endSeconds).to.be.closeTo(14, 0.05);
  });

  it('lets a drag be broken off', async () => {
    const { stores, pointer } = await make();
    pointer('pointerdown', 14);
    pointer('pointermove', 6);
    pointer('pointercancel', 6);
    pointer('pointerup', 6);
    expect(stores.session.commands).to.deep.equal([]);
    expect(stores.player.position).to.equal(5);
  });

  it('is a slider for the keyboard that stays inside the session', async () => {
    const { element, line, stores } = await make();
    const go = async (key: string, expected: number, init: KeyboardEventInit = {}) => {
      press(line, key, init);
      await element.updateComplete;
      expect(stores.player.position, key).to.be.closeTo(expected, 1e-9);
    };
    await go('ArrowRight', 6);
    expect(line.getAttribute('aria-valuetext')).to.equal('0:06.0 of 0:24.0');
    await go('ArrowLeft', 5.9, { shiftKey: true });
    await go('PageUp', 15.9);
    await go('PageUp', 24);
    await go('Home', 0);
    await go('ArrowLeft', 0);
    await go('End', 24);
    await expect(element).to.be.accessible();
  });

  it('marks where the colour is loudest and goes there', async () => {
    const { element, stores } = await make();
    const marks = all<HTMLButtonElement>(element, '.marks button');
    expect(marks.length).to.equal(3);
    expect(textOf(marks[0])).to.equal('Go to 0:08.1, where the colour is loudest');
    expect(marks[0].style.left).to.equal('33.75%');
    marks[0].click();
    expect(stores.player.position).to.equal(8.1);
  });

  it('draws the waveform where there is sound, and nothing where there is none', async () => {
    const stores = memoryStores();
    const half = new Float32Array(200);
    for (let i = 0; i < 100; i += 2) half.set([-0.8, 0.8], i);
    stores.analysis.set({ waveform: half });
    stores.player.set({ position: 24 });
    const { element } = await make(stores);
    await frames();
    const canvas = inside<HTMLCanvasElement>(element, 'canvas');
    const context = canvas.getContext('2d')!;
    const painted = (x: number) => {
      const y = Math.round(canvas.height * 0.25);
      return context.getImageData(Math.round(x * canvas.width), y, 1, 1).data[3] > 0;
    };
    expect(painted(0.2)).to.equal(true);
    expect(painted(0.8)).to.equal(false);
  });
});
