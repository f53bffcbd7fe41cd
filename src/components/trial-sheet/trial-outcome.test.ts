import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, frames, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import { outcomeOf } from '../../../tests/browser/fixture/trials.ts';
import { bitsFrom } from '../../blind/random-bits.ts';
import { type SlotStimuli, TrialScheduler } from '../../blind/scheduler.ts';
import type { TrialPlan } from '../../blind/trial-plan.ts';
import { seededRandom } from '../../dsp/random.ts';
import type { OutcomePlot } from './outcome-plot.ts';
import type { TrialOutcomeSheet } from './trial-outcome.ts';
import './trial-outcome.ts';

type Answer = 'first' | 'second';

const sides = (...names: string[]) => names.map((name) => ({ id: name.toLowerCase(), name, matchGainDb: 0 }));
const [clean, coloured] = sides('Clean', 'Coloured');
const common = { training: 1, catchTrials: true };
const control = { id: 'melodica/m3/drive', name: 'Drive of Soft clip on Melodica', unit: 'dB' };

/** A whole trial by the shipped scheduler with a listener who answers by what is played. */
function heard(plan: TrialPlan, listener: (playback: SlotStimuli) => Answer, discardEvery = 0) {
  const scheduler = new TrialScheduler(plan, {
    bits: bitsFrom(seededRandom(4)),
    startedAt: '2026-03-02T19:30:00Z',
    software: 'Level Best 0.1.0',
    device: 'headphones',
    programme: 'Harbour Hall sextet, 0:04 to 0:14',
  });
  for (let i = 1; scheduler.state.phase !== 'complete'; i++) {
    const playback = scheduler.next(10 * i);
    if (discardEvery > 0 && i % discardEvery === 0) scheduler.discard('tab-hidden', 10 * i + 3);
    else scheduler.answer(listener(playback), 10 * i + 8, { firstDb: -1, secondDb: -2, residualLu: 0.04 });
  }
  return scheduler.reveal();
}

async function shown(record: ReturnType<typeof heard>) {
  const stores = memoryStores();
  stores.trials.show(outcomeOf(record));
  const { element } = await provided<TrialOutcomeSheet>(html`<trial-outcome></trial-outcome>`, stores);
  await frames(4);
  const figures = Object.fromEntries(
    all(element, 'dl div').map((row) => [
      row.querySelector('dt')!.firstChild!.nextSibling!.nodeValue,
      textOf(row.querySelector('dd')!),
    ]),
  );
  const plot = element.shadowRoot!.querySelector<OutcomePlot>('outcome-plot');
  return { element, trials: stores.trials, figures, plot };
}

const ears = ({ first, x }: SlotStimuli): Answer => (x?.side === first.side ? 'first' : 'second');
const chooser = (utility: (amount: number | null) => number) => {
  const random = seededRandom(11);
  return ({ first, second }: SlotStimuli): Answer => {
    const ahead =
      utility(second.amountDb) - utility(first.amountDb) - (second.overdriven ? 9 : 0) + (first.overdriven ? 9 : 0);
    return random() < 1 / (1 + Math.exp(-ahead)) ? 'second' : 'first';
  };
};

describe('the outcome of an ABX', () => {
  it('says what was heard, with the exact figures', async () => {
    const { element, figures, plot } = await shown(
      heard({ kind: 'abx', ...common, sides: [clean, coloured], rule: { type: 'fixed', trials: 16 } }, ears),
    );
    expect(textOf(inside(element, '.sentence'))).to.equal('Heard: 16 of 16 right (p below 0.0001).');
    expect(element.shadowRoot!.activeElement).to.equal(inside(element, '.sentence'));
    // Clopper-Pearson for 16 of 16: 0.025^(1/16) = 0.794.
    expect(figures).to.deep.equal({
      Right: '16 of 16',
      p: 'below 0.0001',
      'Chance of being right': '79 % to 100 %',
    });
    expect(plot!.shadowRoot!.querySelectorAll('svg .error').length).to.equal(1);
    await expect(element).to.be.accessible();
  });

  it('says what a null result rules out', async () => {
    const { figures, element } = await shown(
      heard({ kind: 'abx', ...common, sides: [clean, coloured], rule: { type: 'fixed', trials: 16 } }, () => 'first'),
    );
    expect(Object.keys(figures)).to.include.members(['Ruled out', 'that is, heard in', 'that is, d′ above']);
    expect(figures['Ruled out']).to.match(/^more than \d\d % right$/);
    expect(textOf(inside(element, '[aria-labelledby=listened]'))).to.contain(
      'the answer was the first in 16 of 16 pairs',
    );
  });

  it('lists every pair with its draws, checks and discarded ones', async () => {
    const record = heard(
      { kind: 'abx', ...common, sides: [clean, coloured], rule: { type: 'fixed', trials: 8 } },
      ears,
      4,
    );
    const { element } = await shown(record);
    const rows = all(element, '.log tbody tr');
    expect(rows.length).to.equal(record.trials.length);
    for (const [i, row] of rows.entries()) {
      const { orderCoin, xCoin, discarded, answer } = record.trials[i];
      expect(textOf(row)).to.contain(`${orderCoin}, ${xCoin}`);
      expect(textOf(row).includes('discarded: the page was hidden'), `row ${i + 1}`).to.equal(discarded !== null);
      if (answer) expect(textOf(row)).to.contain(`the ${answer}`);
    }
    const discarded = record.trials.filter((trial) => trial.discarded).length;
    expect(discarded).to.be.greaterThan(1);
    expect(textOf(inside(element, '[aria-labelledby=listened]'))).to.contain(
      `Discarded: ${discarded} pairs (${discarded} the page was hidden).`,
    );
    expect(all(element, '.draws tbody tr').length).to.equal(record.draws.length);
    for (const details of all<HTMLDetailsElement>(element, 'details')) details.open = true;
    await expect(element).to.be.accessible();
  });
});

describe('the outcome of likings', () => {
  it('names the preferred of two', async () => {
    const { element, figures } = await shown(
      heard(
        { kind: 'preference', ...common, sides: [clean, coloured], rule: { type: 'fixed', trials: 12 } },
        ({ first }) => (first.side === 'coloured' ? 'first' : 'second'),
      ),
    );
    expect(textOf(inside(element, '.sentence'))).to.match(/^You prefer Coloured: Coloured was chosen 12 times of 12/);
    // Two-sided: 2 · 2^−12.
    expect(figures).to.include({ 'Coloured chosen': '12 of 12', p: '0.0005' });
    await expect(element).to.be.accessible();
  });

  it('draws several on one scale, with the table behind it', async () => {
    const order: Record<string, number> = { clean: 0, gentle: 2, bold: 1, coarse: -1 };
    const random = seededRandom(3);
    const record = heard(
      {
        kind: 'preference',
        ...common,
        sides: sides('Clean', 'Gentle', 'Bold', 'Coarse'),
        rule: { type: 'fixed', trials: 60 },
      },
      ({ first, second }) =>
        random() < 1 / (1 + Math.exp(order[first.side] - order[second.side])) ? 'second' : 'first',
    );
    const { element, plot } = await shown(record);
    const { result } = outcomeOf(record).analysis;
    if (result.kind !== 'preference' || !result.scale) throw new Error('no scale');
    expect(plot!.shadowRoot!.querySelectorAll('svg circle').length).to.equal(4);
    expect(plot!.shadowRoot!.querySelectorAll('svg .error').length).to.equal(4);
    inside<HTMLButtonElement>(plot!, 'button').click();
    await plot!.updateComplete;
    const rows = all(plot!, 'tbody tr').map((row) => textOf(row.querySelector('th')!));
    const { names, scale } = result;
    const worth = (name: string) => scale.worth[names.indexOf(name)];
    expect(rows).to.deep.equal([...names].sort((a, b) => worth(b) - worth(a)));
    const wins = all(element, '.wins tbody td').map(textOf);
    expect(
      wins
        .filter((text) => text !== '')
        .map(Number)
        .reduce((a, b) => a + b),
    ).to.equal(60);
    await expect(element).to.be.accessible();
  });

  it('draws nothing where there is no scale, and says why', async () => {
    const { element, plot } = await shown(
      heard(
        { kind: 'preference', ...common, sides: sides('Clean', 'Gentle', 'Bold'), rule: { type: 'fixed', trials: 12 } },
        ({ first, second }) => (first.side > second.side ? 'first' : 'second'),
      ),
    );
    expect(plot).to.equal(null);
    expect(textOf(inside(element, '.sentence'))).to.contain('won every comparison');
  });
});

describe('the outcome of a drive search', () => {
  const plan: TrialPlan = { kind: 'drive-search', ...common, control, min: -6, max: 6, trials: 32, widthDb: 0 };
  const record = heard(
    plan,
    chooser((amount) => (amount === null ? -5 : -1.1 * Math.abs(amount - 1))),
  );

  it('draws the curve, the interval, the probability of the peak and every answer', async () => {
    const { element, plot, figures } = await shown(record);
    expect(textOf(inside(element, '.subject'))).to.equal(
      'How much is best? Drive of Soft clip on Melodica, −6.0 dB to 6.0 dB',
    );
    expect(textOf(inside(element, '.sentence'))).to.match(/^Best at about /);
    const { result } = outcomeOf(record).analysis;
    if (result.kind !== 'drive-search') throw new Error('no drive search');
    const svg = inside(plot!, 'svg');
    expect(svg.querySelectorAll('.answer').length).to.equal(result.answers);
    expect(svg.querySelectorAll('.peak').length).to.equal(result.peak.length);
    expect(svg.querySelectorAll('.curve, .band, .interval, .best').length).to.equal(4);
    const interval = svg.querySelector<SVGRectElement>('.interval')!.getBBox();
    const best = svg.querySelector<SVGPathElement>('.best')!.getBBox();
    expect(best.x).to.be.within(interval.x, interval.x + interval.width);
    // The chosen ends of the answers come to lie about the interval more often than the others.
    const inInterval = (selector: string) =>
      [...svg.querySelectorAll(selector)].filter((mark) => {
        const x = Number(mark.getAttribute('cx'));
        return x >= interval.x && x <= interval.x + interval.width;
      }).length;
    expect(inInterval('.answer .chosen')).to.be.greaterThan(inInterval('.answer .other'));
    expect(figures['Best amount']).to.match(/ dB$/);
    await expect(element).to.be.accessible();
  });

  it('has a table behind it whose probabilities sum to one', async () => {
    const { element, plot } = await shown(record);
    inside<HTMLButtonElement>(plot!, 'button').click();
    await plot!.updateComplete;
    const rows = all(plot!, 'tbody tr').map((row) => [...row.children].map(textOf));
    expect(rows[0].slice(0, 3)).to.deep.equal(['clean', '50 %', '50 % to 50 %']);
    const sum = rows.reduce((total, cells) => total + Number.parseFloat(cells[4]), 0);
    expect(sum).to.be.within(95, 105);
    await expect(element).to.be.accessible();
  });

  it('applies, confirms and saves', async () => {
    const { element, trials } = await shown(record);
    const buttons = () => all<HTMLButtonElement>(element, '.actions button');
    expect(buttons().map(textOf)).to.deep.equal([
      outcomeOf(record).apply,
      'Confirm it against clean',
      'Save as CSV…',
      'Save as JSON…',
      'Another trial',
    ]);
    for (const button of buttons().slice(0, 4)) button.click();
    expect(trials.calls).to.deep.equal(['apply', 'confirm', 'save csv', 'save json']);
    await element.updateComplete;
    expect(buttons()[0].ariaDisabled).to.equal('true');
    expect(textOf(inside(element, '[role=status]'))).to.equal('Done. Undo in the session takes it back.');
    buttons()[4].click();
    expect(trials.phase).to.equal('setup');
  });

  it('warns beside the figure when the answers have two peaks', async () => {
    const valley = heard(
      plan,
      chooser((amount) => (amount === null ? 6 : Math.abs(amount) > 4 ? 6 : -6)),
    );
    const { element } = await shown(valley);
    expect(textOf(inside(element, 'dl .warning'))).to.contain('Against one peak');
    expect(textOf(inside(element, '.sentence'))).to.contain('do not fit one peak');
  });

  it('shows no best amount where no preference was shown', async () => {
    const random = seededRandom(5);
    const { plot, figures } = await shown(heard(plan, () => (random() < 0.5 ? 'first' : 'second')));
    expect(plot!.shadowRoot!.querySelector('.best')).to.equal(null);
    expect(figures).to.have.property('Likeliest, if any');
  });
});

describe('the outcome of confirm trials', () => {
  it('gives both directions', async () => {
    const { figures, element } = await shown(
      heard({ kind: 'confirm', ...common, control, amountDb: 1, cap: 20 }, ({ first, second }) =>
        second.overdriven || first.side === 'amount' ? 'first' : 'second',
      ),
    );
    expect(figures).to.include.keys('Chosen over clean', 'E-value, it helps', 'E-value, it hurts');
    expect(textOf(inside(element, '.sentence'))).to.match(/^It helps:/);
    await expect(element).to.be.accessible();
  });
});
