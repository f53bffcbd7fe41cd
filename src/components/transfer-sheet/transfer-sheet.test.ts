import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { face } from '../../../tests/browser/fixture/figures.ts';
import { all, frames, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { stage } from '../../../tests/browser/fixture/session.ts';
import { ticksWithin, transferRows } from './transfer-plot.ts';
import type { TransferSheet } from './transfer-sheet.ts';
import './transfer-sheet.ts';

async function opened(stageId = 'm1') {
  const made = await provided<TransferSheet>(html`<transfer-sheet></transfer-sheet>`);
  await made.element.show('melodica', stageId);
  await frames();
  await made.element.updateComplete;
  return made;
}

describe('transfer-sheet', () => {
  it('shows the curve, the programme, alignment after trim in, and 1 % THD', async () => {
    const { element } = await opened();
    expect(element.open).to.equal(true);
    expect(textOf(inside(element, 'h2'))).to.equal('1 Harmonic set transfer curve');
    for (const part of ['.curve', '.histogram', '.alignment', '.tick']) {
      expect(all(element, `svg ${part}`).length, part).to.equal(1);
    }
    // The stage has 3 dB of trim in: alignment at −18 dBFS reaches the curve at −15.
    expect(all(element, 'dd').map(textOf)).to.deep.equal(['−8.0', '−15.0', '+7.0']);
    await expect(element).to.be.accessible();
  });

  it('follows the stage while it is open', async () => {
    const { element, stores } = await opened();
    stores.session.dispatch({
      type: 'set-parameter',
      rackId: 'melodica',
      stageId: 'm1',
      parameterId: 'trimIn',
      value: 6,
    });
    await element.updateComplete;
    expect(textOf(all(element, 'dd')[1])).to.equal('−12.0');
  });

  it('has a table of both halves', async () => {
    const { element } = await opened();
    inside<HTMLButtonElement>(element, 'button[aria-pressed]').click();
    await element.updateComplete;
    const rows = all(element, 'tbody tr');
    expect(rows.length).to.equal(13);
    expect(textOf(rows[0])).to.match(/^−6 −\d+\.\d\d ?−\d+\.\d\d [+−]\d+\.\d\d$/);
    await expect(element).to.be.accessible();
  });

  it('closes by its button and beside the sheet', async () => {
    const { element } = await opened();
    all<HTMLButtonElement>(element, '.tools button')[1].click();
    expect(element.open).to.equal(false);
    await element.show('melodica', 'm2');
    inside<HTMLDialogElement>(element, 'dialog').click();
    expect(element.open).to.equal(false);
  });
});

describe('the transfer table', () => {
  it('reads a straight curve as it is', () => {
    const straight = face(stage('a', 'soft-clip'), 0);
    const rows = transferRows({ ...straight, curveY: straight.curveX.map((x) => x) });
    expect(rows[0].inDbfs).to.equal(-6);
    for (const { inDbfs, positiveDbfs, negativeDbfs } of rows) {
      expect(positiveDbfs).to.be.closeTo(inDbfs, 1e-9);
      expect(negativeDbfs).to.be.closeTo(inDbfs, 1e-9);
    }
  });
});

describe('the ticks of the axes', () => {
  it('keep their distance and stay within the range', () => {
    const ticks = ticksWithin(0.5, 200);
    expect(ticks[0]).to.equal(-9);
    const at = ticks.map((db) => (10 ** (db / 20) / 0.5) * 200);
    for (let i = 1; i < at.length; i++) expect(at[i - 1] - at[i]).to.be.at.least(26);
  });
});
