import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, frames, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import { percentText } from './bench-rows.ts';
import type { BenchSheet } from './bench-sheet.ts';
import './bench-sheet.ts';

const rest = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));

async function settle(element: BenchSheet, ms = 20): Promise<void> {
  await rest(ms);
  await frames();
  await element.updateComplete;
}

async function make(stores = memoryStores(), width = 1080) {
  const made = await provided<BenchSheet>(
    html`<bench-sheet style="height: 420px" .rackId=${'melodica'} .rackName=${'Melodica'}></bench-sheet>`,
    stores,
    width,
  );
  await settle(made.element);
  return made;
}

async function choose(element: BenchSheet, test: string): Promise<void> {
  const select = inside<HTMLSelectElement>(element, 'select');
  select.value = test;
  select.dispatchEvent(new Event('change'));
  await element.updateComplete;
  await settle(element);
}

const figureOf = (element: BenchSheet, name: string) =>
  textOf(all(element, '.figures tr').find((row) => textOf(row).startsWith(name))!);

describe('bench-sheet', () => {
  it('measures the rack by itself and shows harmonics, odd filled and even outlined, with the figures', async () => {
    const { element, stores } = await make();
    expect(stores.bench.requests).to.deep.equal([{ rackId: 'melodica', test: 'tone', values: {} }]);
    expect(figureOf(element, 'THDF')).to.match(/^THDF % \d\.\d+$/);
    const fill = (selector: string) => getComputedStyle(inside(element, `svg ${selector} rect`)).fill;
    expect(fill('.odd')).not.to.equal(fill('.even'));
    expect(all(element, 'svg .tone').length).to.equal(1);
    expect(textOf(inside(element, '.figures p'))).to.contain('Put in: 997.56 Hz at −18.0 dBFS.');
    await expect(element).to.be.accessible();
  });

  it('says that it is silent', async () => {
    const { element } = await make();
    expect(textOf(inside(element, '.silent'))).to.contain('The bench is silent');
  });

  it('runs once when a parameter has come to rest, and the results dim meanwhile', async () => {
    const { element, stores } = await make();
    stores.bench.held = [];
    const slider = all<HTMLElementTagNameMap['value-slider']>(element, 'value-slider')[1];
    for (const value of [-12, -11, -10]) {
      slider.dispatchEvent(new CustomEvent('value-change', { detail: { value } }));
      await element.updateComplete;
    }
    expect(inside(element, '.main').classList.contains('stale')).to.equal(true);
    expect(textOf(inside(element, '[role=status]'))).to.equal('measuring…');
    await settle(element, 350);
    expect(stores.bench.requests.length).to.equal(2);
    expect(stores.bench.requests[1].values).to.deep.equal({ level: -10 });
    for (const release of stores.bench.held) release();
    await settle(element);
    expect(inside(element, '.main').classList.contains('stale')).to.equal(false);
    expect(textOf(inside(element, '.figures p'))).to.contain('at −10.0 dBFS');
  });

  it('runs again when the rack changes, not when another one does', async () => {
    const { element, stores } = await make();
    stores.session.dispatch({ type: 'set-rack-on', rackId: 'drum', on: false });
    await settle(element, 350);
    expect(stores.bench.requests.length).to.equal(1);
    stores.session.dispatch({ type: 'set-rack-on', rackId: 'melodica', on: false });
    await settle(element, 350);
    expect(stores.bench.requests.length).to.equal(2);
  });

  it('keeps only the answer to the last question', async () => {
    const { element, stores } = await make();
    stores.bench.held = [];
    await choose(element, 'smpte');
    await choose(element, 'difference');
    const [first, second] = stores.bench.held;
    second();
    await settle(element);
    expect(figureOf(element, 'dd2')).to.equal('dd2 % 1.20');
    first();
    await settle(element);
    expect(figureOf(element, 'dd2'), 'the older answer came late').to.equal('dd2 % 1.20');
  });

  it('marks aliases otherwise, and a figure that is not defined says why', async () => {
    const { element } = await make();
    await choose(element, 'difference');
    expect(all(element, 'svg .alias').length).to.equal(1);
    const undefined_ = all(element, '.figures tr').find((row) => textOf(row).startsWith('dd3'))!;
    expect(textOf(undefined_)).to.contain('–');
    expect(undefined_.title).to.contain('outside the band');
    await expect(element).to.be.accessible();
  });

  it('draws sweeps as lines by name, with a table behind them', async () => {
    const { element } = await make();
    await choose(element, 'level-sweep');
    expect(all(element, 'svg text.name').map(textOf).sort()).to.deep.equal(['H2', 'H3', 'H4', 'H5', 'THD']);
    expect(inside(element, 'svg').getAttribute('aria-label')).to.match(/^Most THD, \d+\.\d\d %, at 0\.0 dBFS\./);
    inside<HTMLButtonElement>(element, '.tools button').click();
    await element.updateComplete;
    expect(all(element, '.scroll tbody tr').length).to.equal(25);
    await expect(element).to.be.accessible();
  });

  it('tabulates a stack beside one stage, and what two inputs do to each other', async () => {
    const { element } = await make();
    await choose(element, 'stack');
    const [stack, interaction] = all(element, '.tables table');
    expect([...stack.querySelectorAll('thead th')].map(textOf).slice(2)).to.deep.equal([
      'after 1Harmonic set',
      'after 2Diode pair',
      'after 3Soft clip',
      'in oneHarmonic set, drive +8.5',
    ]);
    const cells = [...stack.querySelectorAll('tbody tr')[1].children].map(textOf);
    expect(cells).to.deep.equal(['Intermodulation %', '', '0.900', '2.71', '4.12', '3.67']);
    expect(textOf(interaction.querySelector('tbody tr')!)).to.equal('All but DC −31.4');
    await expect(element).to.be.accessible();
  });

  it('says what was wrong when a test cannot run, and recovers', async () => {
    const { element, stores } = await make();
    stores.bench.refusal = 'The frequency must be below half the sample rate.';
    await choose(element, 'smpte');
    expect(textOf(inside(element, '[role=alert]'))).to.equal('The frequency must be below half the sample rate.');
    await choose(element, 'floor');
    expect(element.shadowRoot!.querySelector('[role=alert]')).to.equal(null);
    expect(all(element, '.tables tbody tr').length).to.equal(5);
  });

  it('fits a narrow screen', async () => {
    const { element } = await make(memoryStores(), 366);
    for (const test of ['tone', 'frequency-sweep', 'stack']) {
      await choose(element, test);
      expect(element.scrollWidth, test).to.be.at.most(366);
    }
  });
});

describe('per cent', () => {
  it('has three figures, and no more digits than mean something', () => {
    expect([12.34, 1.234, 0.01234, 0.0000123].map(percentText)).to.deep.equal(['12.3', '1.23', '0.0123', '0.0000123']);
    expect(percentText(0.000001)).to.equal('< 0.00001');
    expect(percentText(0)).to.equal('0');
    expect(percentText(null)).to.equal('–');
  });
});
