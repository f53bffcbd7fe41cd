import { expect } from '@open-wc/testing';
import { sendKeys } from '@web/test-runner-commands';
import { html } from 'lit';
import { match } from '../../../tests/browser/fixture/figures.ts';
import { all, inside, press, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import type { MatchedSwitch } from './matched-switch.ts';
import './matched-switch.ts';

const make = (stores = memoryStores()) => provided<MatchedSwitch>(html`<matched-switch></matched-switch>`, stores, 210);
/** The three fields of what is compared, opened. */
function fields(element: MatchedSwitch): HTMLSelectElement[] {
  inside<HTMLDetailsElement>(element, 'details').open = true;
  return all<HTMLSelectElement>(element, 'details select');
}
async function choose(element: MatchedSwitch, field: HTMLSelectElement, text: string): Promise<void> {
  field.value = [...field.options].find((option) => option.text === text)!.value;
  field.dispatchEvent(new Event('change'));
  await element.updateComplete;
}
const rows = (element: Element) => all(element, 'tbody tr').map(textOf);

describe('matched-switch', () => {
  it('is a group of three radios that the arrow keys move', async () => {
    const { element, stores } = await make();
    const radios = all<HTMLInputElement>(element, '.sides input');
    expect(radios.map(({ checked }) => checked)).to.deep.equal([false, true, false]);
    radios[1].focus();
    await sendKeys({ press: 'ArrowDown' });
    await element.updateComplete;
    expect(stores.player.side).to.equal('added');
    await sendKeys({ press: 'ArrowUp' });
    await sendKeys({ press: 'ArrowUp' });
    await element.updateComplete;
    expect(stores.player.side).to.equal('clean');
    expect(radios[0].checked).to.equal(true);
  });

  it('follows the player', async () => {
    const { element, stores } = await make();
    stores.player.setSide('clean');
    await element.updateComplete;
    expect(all<HTMLInputElement>(element, '.sides input')[0].checked).to.equal(true);
  });

  it('shows the gains, how far off they are, and whether that is exact', async () => {
    const { element, stores } = await make();
    expect(rows(element)).to.deep.equal([
      'This rack +2.46 0.02 ✓exact',
      'Mix +0.12 0.00 ✓exact',
      'Short-term −0.4 to +0.6 LU',
      'Both sides 0.0',
    ]);
    stores.analysis.set({ mixMatch: match({ gainDb: -0.5, quality: 'provisional', errorLu: 0.11 }) });
    await element.updateComplete;
    expect(rows(element)[1]).to.equal('Mix −0.50 ±0.11 …provisional');
    await expect(element).to.be.accessible();
  });

  it('shows dashes where nothing was measured', async () => {
    const stores = memoryStores();
    stores.analysis.set({ mixMatch: null, headroomDb: null, racks: new Map() });
    const { element } = await make(stores);
    expect(rows(element)).to.deep.equal(['This rack – –', 'Mix – –', 'Short-term –', 'Both sides –']);
  });

  it('turns matching off and then warns', async () => {
    const { element, stores } = await make();
    inside<HTMLInputElement>(element, '.matching input').click();
    await element.updateComplete;
    expect(stores.session.commands).to.deep.equal([{ type: 'set-matching', on: false }]);
    expect(textOf(inside(element, '.matching'))).to.contain('Not matched');
    await expect(element).to.be.accessible();
  });

  const words = (element: Element) => textOf(inside(element, '.matching'));

  it('says what both sides are lowered by', async () => {
    const { element, stores } = await make();
    stores.analysis.set({ headroomDb: -6.3 });
    await element.updateComplete;
    expect(rows(element)[3]).to.equal('Both sides −6.3');
    expect(words(element)).to.equal('Loudness matched within 0.1 LU');
  });

  it('says in words when the sides are not equally loud, and why, without moving anything', async () => {
    const { element, stores } = await make();
    const height = element.offsetHeight;
    stores.player.set({ guardActing: true });
    await element.updateComplete;
    expect(words(element)).to.equal('Match broken the output guard is acting');
    await expect(element).to.be.accessible();
    stores.player.set({ guardActing: false });
    stores.analysis.set({ mixMatch: match({ gainDb: 28.2, residualLu: -3.15, matched: false }) });
    await element.updateComplete;
    expect(words(element)).to.equal('Not matched off by −3.15 LU');
    expect(rows(element)[1]).to.equal('Mix +28.20 −3.15 ✗not matched');
    expect(element.offsetHeight).to.equal(height);
    await expect(element).to.be.accessible();
  });

  it('honours a trim that was set on the mix on purpose', async () => {
    const { element, stores } = await make();
    stores.session.dispatch({ type: 'set-match-trim', rackId: 'mix', trimDb: 0.5 });
    await element.updateComplete;
    expect(words(element)).to.equal('Loudness matched trimmed by +0.50 dB on purpose');
  });

  it('trims the match of the rack in steps of 0.05 dB', async () => {
    const { element, stores } = await make();
    const trim = inside(element, '.trim');
    press(inside(trim, 'input[type=range]'), 'ArrowUp');
    expect(stores.session.commands).to.deep.equal([{ type: 'set-match-trim', rackId: 'melodica', trimDb: 0.05 }]);
  });

  it('says where memory cut the match region short', async () => {
    const { element, stores } = await make();
    const line = () => textOf(all(element, 'p.small').at(-1) as HTMLElement);
    expect(line()).to.equal('Matched over the whole session');
    stores.analysis.set({ shortened: { startSeconds: 103, endSeconds: 196 } });
    await element.updateComplete;
    expect(line()).to.equal('Matched over 1:43.0–3:16.0: the middle, as much as fits in memory');
  });

  it('keeps its size when figures go away', async () => {
    const { element, stores } = await make();
    const height = element.offsetHeight;
    stores.analysis.set({ status: 'working', mixMatch: null, racks: new Map() });
    await element.updateComplete;
    expect(element.offsetHeight).to.equal(height);
  });

  it('puts scenes on its sides, says so at once, and goes back in one step', async () => {
    const { element, stores } = await make();
    expect(textOf(inside(element, 'summary'))).to.equal('Clean against coloured, all racks');
    stores.session.dispatch({ type: 'store-scene', id: 's1', name: 'Gentle' });
    stores.session.dispatch({ type: 'store-scene', id: 's2', name: 'Pushed' });
    await element.updateComplete;
    const [a, b] = fields(element);
    expect([...a.options].map(({ text }) => text)).to.deep.equal(['Clean', 'Gentle', 'Pushed']);
    expect([...b.options].map(({ text }) => text)).to.deep.equal(['As it is now', 'Gentle', 'Pushed']);
    await choose(element, a, 'Gentle');
    await choose(element, b, 'Pushed');
    expect(stores.session.document.sides).to.deep.equal({ a: 's1', b: 's2' });
    expect(all(element, '.sides label').map(textOf)).to.deep.equal(['Gentle', 'Pushed', 'Difference']);
    expect(textOf(inside(element, 'summary'))).to.equal('Gentle against PushedAll racks');
    await expect(element).to.be.accessible();
    inside<HTMLButtonElement>(element, 'details button').click();
    await element.updateComplete;
    expect(stores.session.document.sides).to.deep.equal({ a: 'clean', b: 'current' });
    expect(all(element, '.sides label').map(textOf)).to.deep.equal(['Clean', 'Coloured', 'Added']);
    stores.session.undo();
    await element.updateComplete;
    expect(a.value).to.equal('s1');
  });

  it('compares one rack alone or all but one, also while another rack is shown', async () => {
    const { element, stores } = await make();
    const scope = fields(element)[2];
    await choose(element, scope, 'Melodica only');
    expect(stores.session.document.scope).to.deep.equal({ kind: 'only', rackId: 'melodica' });
    stores.session.selectRack('mix');
    await element.updateComplete;
    expect(scope.selectedOptions[0].text).to.equal('Melodica only');
    expect([...scope.options].map(({ text }) => text)).to.deep.equal([
      'All',
      'Mix only',
      'All but Mix',
      'Melodica only',
      'All but Melodica',
    ]);
    expect(textOf(inside(element, 'summary'))).to.equal('Clean against ColouredMelodica only');
    await choose(element, scope, 'All but Mix');
    expect(stores.session.document.scope).to.deep.equal({ kind: 'all-but', rackId: 'mix' });
    await choose(element, scope, 'All');
    expect(textOf(inside(element, 'summary'))).to.equal('Clean against coloured, all racks');
  });

  it('says beside Play which racks it moves when it does not move all', async () => {
    const stores = memoryStores();
    stores.session.dispatch({ type: 'set-scope', scope: { kind: 'only', rackId: 'drum' } });
    stores.session.dispatch({ type: 'store-scene', id: 's1', name: 'A name much too long for a third of a telephone' });
    stores.session.dispatch({ type: 'set-sides', a: 's1' });
    const { element } = await provided<MatchedSwitch>(
      html`<matched-switch show="switch"></matched-switch>`,
      stores,
      260,
    );
    expect(textOf(inside(element, '.scope'))).to.equal('Frame drum only');
    expect(element.scrollWidth).to.be.at.most(260);
    await expect(element).to.be.accessible();
  });
});
