import { expect } from '@open-wc/testing';
import { sendKeys } from '@web/test-runner-commands';
import { html } from 'lit';
import { all, frames, inside, press, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import type { MemoryTrials } from '../../../tests/browser/fixture/trials.ts';
import type { TrialSetup } from './trial-setup.ts';
import type { TrialSheet } from './trial-sheet.ts';
import './trial-sheet.ts';

async function opened() {
  const stores = memoryStores();
  stores.trials.open();
  const { element } = await provided<TrialSheet>(html`<trial-sheet></trial-sheet>`, stores);
  await frames();
  const setup = () => inside<TrialSetup>(element, 'trial-setup');
  const settle = async () => {
    await element.updateComplete;
    await element.shadowRoot!.querySelector<TrialSetup>('trial-setup')?.updateComplete;
  };
  const choose = async (kind: string) => {
    inside<HTMLInputElement>(setup(), `input[value=${kind}]`).click();
    await settle();
  };
  return { element, stores, trials: stores.trials, setup, settle, choose };
}

function pick(select: HTMLSelectElement, id: string): void {
  select.value = id;
  select.dispatchEvent(new Event('change'));
}

const started = (trials: MemoryTrials) => trials.questions.at(-1);

describe('setting up a trial', () => {
  it('asks for the three questions in plain words, accessible in each', async () => {
    const { element, setup, choose } = await opened();
    expect(all(setup(), '.questions b').map(textOf)).to.deep.equal([
      'Can I hear it?',
      'Which do I like?',
      'How much is best?',
    ]);
    await expect(element).to.be.accessible();
    await choose('preference');
    await expect(element).to.be.accessible();
    await choose('drive-search');
    await expect(element).to.be.accessible();
  });

  it('says before the start what the trial can show', async () => {
    const { setup, choose } = await opened();
    expect(textOf(inside(setup(), '[aria-labelledby=show] ul'))).to.contain('12 of 16 must be right.');
    await choose('drive-search');
    expect(textOf(inside(setup(), '[aria-labelledby=show] ul'))).to.equal('A drive-search.');
  });

  it('prepares what was chosen', async () => {
    const { trials, setup, settle } = await opened();
    const [one, other] = all<HTMLSelectElement>(setup(), 'select');
    pick(one, 'off:m3');
    await settle();
    pick(other, 'gentle');
    await settle();
    press(inside(all(setup(), 'value-slider')[0], 'input[type=range]'), 'ArrowUp');
    await settle();
    inside<HTMLButtonElement>(setup(), '.start').click();
    expect(started(trials)).to.deep.equal({
      kind: 'abx',
      sounds: [trials.sounds[3].value, trials.sounds[2].value],
      rule: { type: 'fixed', trials: 17 },
    });
  });

  it('takes more sounds, up to all there are, and then a fixed number of pairs', async () => {
    const { trials, setup, settle, choose } = await opened();
    await choose('preference');
    inside<HTMLInputElement>(setup(), 'input[value=any-time]').click();
    await settle();
    for (const expected of [3, 4]) {
      inside<HTMLButtonElement>(setup(), '.add').click();
      await settle();
      expect(all(setup(), 'select').length).to.equal(expected);
    }
    expect(setup().shadowRoot!.querySelector('.add'), 'nothing is left to add').to.equal(null);
    expect(inside<HTMLInputElement>(setup(), 'input[value=any-time]').disabled).to.equal(true);
    all<HTMLButtonElement>(setup(), '.row button')[1].click();
    await settle();
    inside<HTMLButtonElement>(setup(), '.start').click();
    expect(started(trials)).to.deep.equal({
      kind: 'preference',
      sounds: [0, 2, 3].map((i) => trials.sounds[i].value),
      rule: { type: 'fixed', trials: 16 },
    });
  });

  it('searches the range of the chosen control', async () => {
    const { trials, setup, settle, choose } = await opened();
    await choose('drive-search');
    pick(inside<HTMLSelectElement>(setup(), 'select'), 'all');
    await settle();
    const [least] = all(setup(), 'value-slider');
    press(inside(least, 'input[type=range]'), 'PageUp');
    await settle();
    inside<HTMLButtonElement>(setup(), '.start').click();
    expect(started(trials)).to.deep.equal({
      kind: 'drive-search',
      control: { what: 'all' },
      min: -7,
      max: 12,
      trials: 32,
    });
  });

  it('puts one stage at another setting beside the others', async () => {
    const { element, trials, setup, settle } = await opened();
    const selects = () => all<HTMLSelectElement>(setup(), 'select');
    pick(selects()[1], 'own');
    await settle();
    expect(selects().length).to.equal(4);
    await expect(element).to.be.accessible();
    press(inside(inside(setup(), '.own value-slider'), 'input[type=range]'), 'ArrowUp');
    await settle();
    expect(textOf(inside(setup(), '.own p'))).to.contain('In the session it is at −5.0 dB');
    pick(selects()[2], '1');
    await settle();
    pick(selects()[3], 'up');
    await settle();
    pick(selects()[4], '4');
    await settle();
    inside<HTMLButtonElement>(setup(), '.start').click();
    expect(started(trials)).to.deep.include({
      sounds: [
        { what: 'setting', setting: 'clean' },
        { what: 'stage', rackId: 'mix', stageId: 'x1', parameterId: 'up', value: '4' },
      ],
    });
  });

  it('can’t start with the same sound twice, and says so where the answer would stand', async () => {
    const { setup, settle } = await opened();
    pick(all<HTMLSelectElement>(setup(), 'select')[1], 'clean');
    await settle();
    expect(textOf(inside(setup(), '.missing'))).to.contain('“Clean” is chosen twice');
    expect(inside<HTMLButtonElement>(setup(), '.start').disabled).to.equal(true);
  });

  it('moves the loop within the session by numbers', async () => {
    const { trials, setup } = await opened();
    const loop = inside(setup(), 'loop-choice');
    const [start, length] = all(loop, 'value-slider');
    press(inside(start, 'input[type=range]'), 'End');
    expect(trials.loop).to.deep.equal({ startSeconds: 14, endSeconds: 24 });
    await frames();
    press(inside(length, 'input[type=range]'), 'End');
    expect(trials.loop, 'a longer loop begins earlier').to.deep.equal({ startSeconds: 9, endSeconds: 24 });
  });

  it('says that a session is too short', async () => {
    const { trials, setup, settle } = await opened();
    trials.set({ durationSeconds: 6.2 });
    await settle();
    await frames();
    expect(textOf(inside(setup(), 'loop-choice').shadowRoot! as unknown as Element)).to.contain('at least 8 s');
    expect(inside<HTMLButtonElement>(setup(), '.start').disabled).to.equal(true);
  });

  it('plays the session for setting the level, and stops it before a trial', async () => {
    const { stores, setup, settle } = await opened();
    inside<HTMLButtonElement>(setup(), '.listen').click();
    await settle();
    expect(stores.player.playing).to.equal(true);
    expect(stores.player.position).to.equal(4);
    inside<HTMLButtonElement>(setup(), '.start').click();
    expect(stores.player.playing).to.equal(false);
  });

  it('says that the session is still loading, and asks as soon as it is there', async () => {
    const { element, stores, trials, setup, settle, choose } = await opened();
    const { sounds, controls, stages } = trials;
    trials.set({ phase: 'closed' });
    await settle();
    stores.player.set({ state: 'loading', durationSeconds: 0 });
    trials.set({ sounds: sounds.slice(0, 1), controls: [], stages: [] });
    trials.open();
    await settle();
    await choose('drive-search');
    const shown = () => textOf(inside(setup(), '[aria-labelledby=show]'));
    expect(shown()).to.contain('The session is still loading.').and.not.to.contain('Add a stage');
    expect(inside<HTMLButtonElement>(setup(), '.start').disabled).to.equal(true);
    await expect(element).to.be.accessible();
    Object.assign(trials, { sounds, controls, stages });
    stores.player.set({ state: 'ready', durationSeconds: 24 });
    await settle();
    expect(shown()).to.contain('A drive-search.');
    expect(setup().draft.controlId).to.equal('stage:m3');
    expect(inside<HTMLButtonElement>(setup(), '.start').disabled).to.equal(false);
  });

  it('silences the session at once by Escape', async () => {
    const { stores } = await opened();
    await stores.player.play();
    await sendKeys({ press: 'Escape' });
    expect(stores.player.playing).to.equal(false);
    expect(stores.trials.phase, 'and stays open').to.equal('setup');
  });

  it('shows how far the preparing is, and goes back with all that was chosen', async () => {
    const { element, trials, setup, settle, choose } = await opened();
    trials.keepsWaiting = true;
    await choose('drive-search');
    inside<HTMLButtonElement>(setup(), '.start').click();
    await settle();
    trials.set({ progress: 0.43 });
    await settle();
    expect(inside<HTMLProgressElement>(element, 'progress').value).to.equal(43);
    expect(element.shadowRoot!.activeElement).to.equal(inside(element, '.cancel'));
    await expect(element).to.be.accessible();
    inside<HTMLButtonElement>(element, '.cancel').click();
    await settle();
    expect(setup().draft.kind).to.equal('drive-search');

    inside<HTMLButtonElement>(setup(), '.start').click();
    trials.waits!('The loop is silent. Choose a stretch with sound in it.');
    await frames();
    await settle();
    expect(textOf(inside(setup(), '[role=alert]'))).to.equal('The loop is silent. Choose a stretch with sound in it.');
    expect(setup().draft.kind).to.equal('drive-search');
    await expect(element).to.be.accessible();
  });

  it('goes back to the session', async () => {
    const { element, trials } = await opened();
    inside<HTMLButtonElement>(element, 'header button').click();
    expect(trials.calls).to.deep.equal(['close']);
    await element.updateComplete;
    expect(element.shadowRoot!.childElementCount).to.equal(0);
  });
});
