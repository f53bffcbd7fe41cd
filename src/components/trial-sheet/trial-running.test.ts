import { expect } from '@open-wc/testing';
import { sendKeys } from '@web/test-runner-commands';
import { html } from 'lit';
import { all, frames, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import { MemoryTrials } from '../../../tests/browser/fixture/trials.ts';
import type { TrialPlan } from '../../blind/trial-plan.ts';
import type { TrialRunning } from './trial-running.ts';
import './trial-running.ts';

const SIDES = [
  { id: 'clean', name: 'Clean', matchGainDb: 0 },
  { id: 'current', name: 'As it is now', matchGainDb: -1.2 },
] as const;

function abx(more: Partial<Extract<TrialPlan, { kind: 'abx' }>> = {}): TrialPlan {
  const rule = { type: 'fixed', trials: 5 } as const;
  return { kind: 'abx', training: 1, catchTrials: false, sides: [SIDES[0], SIDES[1]], rule, ...more };
}

async function running(plan: TrialPlan = abx(), seed = 1) {
  const stores = { ...memoryStores(), trials: new MemoryTrials(seed) };
  stores.trials.begin(plan);
  const { element } = await provided<TrialRunning>(html`<trial-running></trial-running>`, stores);
  await frames();
  const keys = async (...pressed: string[]) => {
    for (const key of pressed) await sendKeys({ press: key });
    await element.updateComplete;
  };
  return { element, stores, trials: stores.trials, keys };
}

const status = (element: TrialRunning) => textOf(inside(element, '[role=status]'));
const pressedSlot = (element: TrialRunning) =>
  all(element, '.slots [aria-pressed=true]').map((slot) => textOf(inside2(slot, 'b')));
const inside2 = (element: Element, selector: string) => element.querySelector(selector)!;

/** Everything that the page holds about the element, through shadow roots, with the state of its controls. */
function serialised(root: ParentNode): string {
  let text = '';
  for (const element of root.querySelectorAll('*')) {
    text += `<${element.localName}${[...element.attributes].map(({ name, value }) => ` ${name}=${value}`).join('')}>`;
    text += [...element.childNodes]
      .flatMap((node) => (node.nodeType === Node.TEXT_NODE ? [node.nodeValue] : []))
      .join('');
    if (element instanceof HTMLElement)
      text += `${element.getBoundingClientRect().width} ${getComputedStyle(element).color}`;
    if (element.shadowRoot) text += serialised(element.shadowRoot);
  }
  return text;
}

describe('a running trial', () => {
  it('goes by keys alone from the first pair to the end', async () => {
    const { element, trials, keys } = await running();
    expect(textOf(inside(element, '.count'))).to.equal('Pair 1 of 6 Training: it doesn’t count');
    expect(textOf(inside(element, '.go'))).to.equal('Start the first pair Enter');
    expect(element.shadowRoot!.activeElement).to.equal(inside(element, '.go'));
    await expect(element).to.be.accessible();

    await keys('Enter');
    expect(pressedSlot(element)).to.deep.equal(['First']);
    expect(status(element)).to.equal('Pair 1 of 6, training. You hear First.');
    await keys('2');
    expect(pressedSlot(element)).to.deep.equal(['Second']);
    await keys('x', 's');
    expect(status(element)).to.equal('Pair 1 of 6, training. You hear X. Chosen: X is the second.');
    await expect(element).to.be.accessible();
    await keys('Enter');
    expect(status(element)).to.match(/^(Right\.|Not right: X was the other one\.)$/);
    expect(element.shadowRoot!.activeElement, 'the focus stays').to.equal(inside(element, '.go'));

    for (let pair = 2; pair <= 6; pair++) {
      expect(trials.phase).to.equal('running');
      expect(textOf(inside(element, '.count'))).to.equal(`Pair ${pair} of 6`);
      await keys(' ', '1', '2', '3', 'f', 'Enter');
      if (pair < 6) expect(status(element), 'no word on right or wrong').to.equal('Answered.');
    }
    expect(trials.phase).to.equal('done');
    expect(trials.calls.filter((call) => call.startsWith('answer'))).to.deep.equal([
      'answer second',
      ...new Array(5).fill('answer first'),
    ]);
    expect(trials.outcome!.record.trials.map(({ answer }) => answer)).to.deep.equal([
      'second',
      ...new Array(5).fill('first'),
    ]);
  });

  it('takes no slip for an answer', async () => {
    const { element, trials, keys } = await running();
    await keys('Enter', 'f', 'Enter');
    expect(textOf(inside(element, '.said')), 'not before everything was heard').to.equal(
      'Hear the second and X before you answer.',
    );
    await keys('2', '3', ' ');
    expect(trials.state!.phase, 'not by Space').to.equal('playing');
    await keys('s');
    expect(all(element, '.answers [aria-pressed=true]').map((one) => textOf(inside2(one, 'span')))).to.deep.equal([
      'X is the second',
    ]);
    await keys('Enter');
    expect(
      trials.calls.filter((call) => call.startsWith('answer')),
      'the last choice counts',
    ).to.deep.equal(['answer second']);
    await keys('f', 's', '1');
    expect(trials.calls.at(-1), 'nothing between pairs').to.equal('answer second');
    await keys('Enter', '2', '3', 'Enter');
    expect(textOf(inside(element, '.said'))).to.equal('Choose an answer first: F or S.');
  });

  it('goes by the pointer as well, and Enter still answers after a click on a sound', async () => {
    const { element, trials, keys } = await running();
    inside<HTMLButtonElement>(element, '.go').click();
    await element.updateComplete;
    for (const slot of all<HTMLButtonElement>(element, '.slots button')) {
      expect(slot.dispatchEvent(new PointerEvent('pointerdown', { cancelable: true, bubbles: true }))).to.equal(false);
      slot.click();
    }
    all<HTMLButtonElement>(element, '.answers button')[0].click();
    await keys('Enter');
    expect(trials.calls).to.deep.equal(['next', 'hear first', 'hear second', 'hear x', 'answer first']);
  });

  it('silences by Escape and goes on when a sound is heard', async () => {
    const { element, stores, trials, keys } = await running();
    await keys('Enter', 'Escape');
    expect(status(element)).to.equal('Muted.');
    expect(pressedSlot(element)).to.deep.equal([]);
    const monitor = inside(inside(element, '.muted value-slider'), 'input[type=range]');
    monitor.focus();
    await keys('ArrowDown');
    expect(stores.player.monitorDb, 'this is where it is turned down').to.equal(-13);
    await expect(element).to.be.accessible();
    await keys('2');
    expect(trials.muted).to.equal(false);
    expect(trials.calls).to.deep.equal(['next', 'mute', 'release', 'hear second']);
    await keys('Escape', 'Escape');
    expect(trials.muted).to.equal(false);
  });

  it('says why a pair was discarded, and starts another one', async () => {
    const { element, trials, keys } = await running();
    await keys('Enter', '2', '3', 'f');
    trials.interrupt('tab-hidden', 'The page was hidden, so this pair doesn’t count. Another one takes its place.');
    await element.updateComplete;
    expect(textOf(inside(element, '.said'))).to.contain('The page was hidden');
    expect(status(element)).to.contain('The page was hidden');
    expect(textOf(inside(element, '.go'))).to.contain('Next pair');
    await keys('Enter');
    expect(trials.held).to.equal(false);
    expect(textOf(inside(element, '.count'))).to.contain('Pair 1 of 6');
    expect(all(element, '.answers [aria-pressed=true]').length, 'the choice went with the pair').to.equal(0);
    await keys('f', 'Enter');
    expect(textOf(inside(element, '.said')), 'and so did what was heard').to.contain('Hear the second and X');
  });

  it('asks before it stops, and keeps keys out of the question', async () => {
    const { element, trials, keys } = await running();
    await keys('Enter', '2');
    all<HTMLButtonElement>(element, '.tools button')[1].click();
    await element.updateComplete;
    const question = inside(element, 'stop-question');
    const dialog = inside<HTMLDialogElement>(question, 'dialog');
    expect(dialog.open).to.equal(true);
    expect(textOf(dialog)).to.contain('stopped early allows no conclusion');
    await expect(element).to.be.accessible();
    await keys('1', 'Escape');
    expect(dialog.open).to.equal(false);
    expect(trials.calls, 'Escape silences from there, too').to.deep.equal(['next', 'hear second', 'mute']);
    all<HTMLButtonElement>(element, '.tools button')[1].click();
    all<HTMLButtonElement>(question, 'button')[1].click();
    expect(trials.phase).to.equal('done');
    expect(trials.outcome!.record.ended).to.equal('stopped');
  });

  it('lets the page not be left without a question while answers would be lost', async () => {
    const { element } = await running();
    const leave = () => !window.dispatchEvent(new Event('beforeunload', { cancelable: true }));
    expect(leave()).to.equal(true);
    element.remove();
    expect(leave()).to.equal(false);
  });

  it('shows the score under the stop-any-time rule only, and a break after twelve pairs', async () => {
    const { element, keys } = await running(abx({ training: 0, rule: { type: 'any-time', cap: 60 } }));
    expect(textOf(inside(element, '.count'))).to.equal('Pair 1');
    for (let pair = 1; pair <= 12; pair++) await keys('Enter', '2', '3', pair % 2 ? 'f' : 's', 'Enter');
    expect(textOf(inside(element, '.said'))).to.match(/^Rest your ears\. You have answered 12 pairs\./);
    expect(textOf(inside(element, '.score'))).to.match(/^\d+ of 12 right, e-value \d+\.\d\d; heard from 20 on$/);
    expect(textOf(inside(element, '.go'))).to.contain('Go on');
    await expect(element).to.be.accessible();
    await keys('Enter');
    expect(textOf(inside(element, '.count'))).to.equal('Pair 13');
  });

  it('asks for a liking with two sounds where there is no X', async () => {
    const rule = { type: 'fixed', trials: 5 } as const;
    const sides = [...SIDES];
    const { element, trials, keys } = await running({
      kind: 'preference',
      training: 0,
      catchTrials: false,
      sides,
      rule,
    });
    await keys('Enter', 'x', '3', '2', 's');
    expect(trials.calls).to.deep.equal(['next', 'hear second']);
    expect(all(element, '.answers span').map(textOf)).to.deep.equal(['I like the first', 'I like the second']);
    expect(textOf(inside(element, '.keys'))).to.not.contain('X');
    await expect(element).to.be.accessible();
    await keys('Enter');
    expect(trials.calls.at(-1)).to.equal('answer second');
  });
});

describe('what the page holds while a trial runs', () => {
  /** The page at every step of the same answers, and what was really played. */
  async function transcript(plan: TrialPlan, seed: number) {
    const { element, trials, keys } = await running(plan, seed);
    const seen: string[] = [serialised(element.shadowRoot!)];
    const played: string[] = [];
    for (const answer of ['f', 's', 's', 'f']) {
      for (const key of ['Enter', '2', '3', answer]) {
        await keys(key);
        seen.push(serialised(element.shadowRoot!));
      }
      played.push(`${trials.playing!.first.side} ${trials.playing!.x === trials.playing!.first}`);
      await keys('Enter');
      seen.push(serialised(element.shadowRoot!));
    }
    element.remove();
    return { seen, played: played.join() };
  }

  it('is the same whichever sound is which', async () => {
    const plan = abx({ training: 0, catchTrials: true });
    const all = [];
    for (const seed of [1, 2, 3, 4, 5, 6]) all.push(await transcript(plan, seed));
    expect(new Set(all.map(({ played }) => played)).size, 'the pairs did differ').to.be.greaterThan(3);
    for (const { seen } of all) expect(seen).to.deep.equal(all[0].seen);
  });

  it('and a difference would be found: the word after training tells, as it should', async () => {
    const plan = abx({ training: 4 });
    const all = [];
    for (const seed of [1, 2, 3, 4]) all.push(await transcript(plan, seed));
    expect(new Set(all.map(({ seen }) => seen.join('\n'))).size).to.be.greaterThan(1);
  });
});
