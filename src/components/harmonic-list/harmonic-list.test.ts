import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { face } from '../../../tests/browser/fixture/figures.ts';
import { all, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { stage } from '../../../tests/browser/fixture/session.ts';
import type { StageFace } from '../../stores/analysis-store.ts';
import type { HarmonicList } from './harmonic-list.ts';
import './harmonic-list.ts';

const list = async (shown?: StageFace) =>
  (await provided<HarmonicList>(html`<harmonic-list .face=${shown} .alignmentDbfs=${-20}></harmonic-list>`)).element;

describe('harmonic-list', () => {
  it('marks odd harmonics filled and even ones outlined, with their levels', async () => {
    const element = await list({ ...face(stage('a', 'harmonic-set'), 0), thdPercent: 12.34 });
    const rows = all(element, 'li');
    expect(rows.map(textOf)).to.deep.equal(['H2 −42', 'H3 −58', 'H4 −60', 'H5 −82', 'H6 −78', 'H7 −106']);
    const background = (row: HTMLElement) => getComputedStyle(row.querySelector('.mark')!).backgroundColor;
    expect(background(rows[1])).not.to.equal(background(rows[0]));
    expect(background(rows[0])).to.equal('rgba(0, 0, 0, 0)');
    expect(textOf(inside(element, 'p'))).to.equal('THD 12.3 % at −20 dBFS');
    await expect(element).to.be.accessible();
  });

  it('says what the drive alone makes where a bias adds to it, in a line that is always there', async () => {
    const shown = { ...face(stage('a', 'soft-clip'), 0), thdPercent: 2.71, unbiasedThdPercent: 0.842 };
    const element = await list(shown);
    expect(textOf(inside(element, '.unbiased'))).to.equal('0.84 % without bias');
    const plain = await list({ ...shown, unbiasedThdPercent: null });
    expect(textOf(inside(plain, '.unbiased'))).to.equal('');
    expect(plain.offsetHeight).to.equal(element.offsetHeight);
    await expect(element).to.be.accessible();
  });

  it('keeps its rows and says why where there is no figure', async () => {
    const element = await list(face(stage('a', 'soft-clip'), 0));
    const second = all(element, 'li')[0];
    expect(textOf(second)).to.equal('H2 – Below −140 dBc');
    expect(second.querySelector('.bar')!.classList.contains('none')).to.equal(true);
    const height = element.offsetHeight;
    const empty = await list(undefined);
    expect(all(empty, 'li').length).to.equal(6);
    expect(textOf(all(empty, 'li')[0])).to.contain('Not computed yet');
    expect(empty.offsetHeight).to.equal(height);
  });
});
