import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { stageKinds } from '../../engine/stages/catalogue.ts';
import type { KindFigure } from '../../stores/kind-guide-store.ts';
import type { KindGuideList } from './kind-guide.ts';
import './kind-guide.ts';

const at = (places: number[], even: number | null, odd: number) =>
  places.map((one) => ({ at: one, evenDbc: even, oddDbc: odd }));
const known: KindFigure = {
  levels: at([-48, -18, -12, -6, 0], null, -40),
  frequencies: at([31.5, 997, 8064], -50, -40),
};

describe('kind-guide', () => {
  it('tells each kind in its own two sentences, and measures when it is looked at', async () => {
    const { element, stores } = await provided<KindGuideList>(html`<kind-guide></kind-guide>`);
    expect(stores.session.kindGuide.looks).to.equal(0);
    element.show();
    expect(stores.session.kindGuide.looks).to.equal(1);
    const sections = all(element, 'section').map(textOf);
    stageKinds.forEach(({ label, about, suits }, i) => {
      expect(sections[i]).to.contain(label).and.to.contain(`${about} ${suits}`).and.to.contain('Being measured');
    });
    await expect(element).to.be.accessible();
  });

  it('draws what was measured, and says it in words', async () => {
    const { element, stores } = await provided<KindGuideList>(html`<kind-guide></kind-guide>`);
    stores.session.kindGuide.set({ figures: new Map([[stageKinds[0].id, known]]) });
    await element.updateComplete;
    const [level, frequency] = inside(element, 'section').querySelectorAll('svg');
    expect(level.getAttribute('aria-label')).to.contain('even –, odd −40 dBc at −18 dBFS');
    expect(frequency.getAttribute('aria-label')).to.contain('even −50 dBc, odd −40 dBc at 31 Hz');
    expect(level.querySelectorAll('.odd rect')).to.have.length(5);
    expect(frequency.querySelectorAll('.even rect')).to.have.length(3);
    await expect(element).to.be.accessible();
  });
});
