import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { face } from '../../../tests/browser/fixture/figures.ts';
import { all, inside, provided } from '../../../tests/browser/fixture/provide.ts';
import { stage } from '../../../tests/browser/fixture/session.ts';
import type { StageFace } from '../../stores/analysis-store.ts';
import type { StageCurve } from './stage-curve.ts';
import './stage-curve.ts';

const shown = face(stage('a', 'soft-clip'), 0);
const curve = async (of?: StageFace) =>
  (await provided<StageCurve>(html`<stage-curve .face=${of}></stage-curve>`, undefined, 100)).element;

describe('stage-curve', () => {
  it('draws the curve through its end points, and a straight stage along the straight line', async () => {
    const straight = { ...shown, curveY: shown.curveX.map((x) => x) };
    const element = await curve(straight);
    const d = inside(element, '.curve').getAttribute('d')!;
    expect(d.startsWith('M0.00 100.00L')).to.equal(true);
    expect(d.endsWith('L100.00 0.00')).to.equal(true);
    await expect(element).to.be.accessible();
  });

  it('draws the histogram only when there is one', async () => {
    expect(all(await curve(shown), '.histogram').length).to.equal(1);
    expect(all(await curve({ ...shown, histogram: null }), '.histogram').length).to.equal(0);
  });

  it('ticks the level of 1 % THD, and says it in words', async () => {
    const element = await curve({ ...shown, onePercentDbfs: -6.02 });
    // −6.02 dBFS is 0.5 of full scale; the curve spans ±0.7.
    const expected = 50 + (0.5 / 0.7) * 50;
    expect(inside(element, '.tick').getAttribute('d')).to.contain(`M${expected.toFixed(1)}`);
    expect(inside(element, 'svg').getAttribute('aria-label')).to.contain('−6.0 dBFS');
    const never = await curve({ ...shown, onePercentDbfs: null });
    expect(all(never, '.tick').length).to.equal(0);
  });

  it('holds its place without a face', async () => {
    const element = await curve(undefined);
    expect(element.offsetHeight).to.equal(100);
    expect(inside(element, 'svg').getAttribute('aria-label')).to.equal('No curve yet');
  });
});
