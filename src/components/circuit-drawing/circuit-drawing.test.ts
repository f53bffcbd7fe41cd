import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { stageKinds } from '../../engine/stages/catalogue.ts';
import { newStage } from '../../session/document.ts';
import type { CircuitDrawing } from './circuit-drawing.ts';
import './circuit-drawing.ts';

const make = async (kind: string, params = {}) =>
  (await provided<CircuitDrawing>(html`<circuit-drawing .stage=${newStage('a', kind, params)}></circuit-drawing>`))
    .element;

describe('circuit-drawing', () => {
  for (const { id, schematic } of stageKinds) {
    if (!schematic) continue;
    it(`draws a ${id} with every value inside the sheet, none upon another`, async () => {
      const element = await make(id);
      const svg = inside<SVGSVGElement>(element, 'svg').getBoundingClientRect();
      const boxes = all(element, 'text').map((text) => ({ words: textOf(text), box: text.getBoundingClientRect() }));
      for (const { words, box } of boxes) {
        expect(box.left, words).to.be.greaterThan(svg.left - 12);
        expect(box.right, words).to.be.lessThan(svg.right + 24);
        expect(box.height, words).to.be.greaterThan(10);
      }
      for (const [i, a] of boxes.entries()) {
        for (const b of boxes.slice(i + 1)) {
          const apart =
            a.box.right <= b.box.left ||
            b.box.right <= a.box.left ||
            a.box.bottom <= b.box.top ||
            b.box.bottom <= a.box.top;
          expect(apart, `${a.words} on ${b.words}`).to.equal(true);
        }
      }
      await expect(element).to.be.accessible();
    });
  }

  it('writes the values that are set, and says them', async () => {
    const element = await make('triode', { supply: 320, bypass: 4.7 });
    // Each value with its title, which a pointer shows.
    const words = all(element, 'text').map(textOf);
    expect(words).to.include.members(['Supply320 V', 'Bypass C4.7 µF', '1 MΩ', 'in', 'out']);
    const label = inside(element, 'svg').getAttribute('aria-label');
    expect(label).to.contain('Triode, circuit:').and.to.contain('Supply 320 V').and.to.contain('Bypass C 4.7 µF');
    element.stage = newStage('a', 'triode', { supply: 200 });
    await element.updateComplete;
    expect(all(element, 'text').map(textOf)).to.include('Supply200 V');
  });

  it('is nothing for a kind that is no circuit, and for one that isn’t there', async () => {
    expect((await make('soft-clip')).shadowRoot!.childElementCount).to.equal(0);
    expect((await make('nobody')).shadowRoot!.childElementCount).to.equal(0);
  });
});
