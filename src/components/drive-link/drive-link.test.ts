import { expect } from '@open-wc/testing';
import { sendKeys } from '@web/test-runner-commands';
import { html } from 'lit';
import { all, inside, provided, textOf, unfold } from '../../../tests/browser/fixture/provide.ts';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import { emptySession, findRack } from '../../session/document.ts';
import type { DriveLinkEditor } from './drive-link.ts';
import './drive-link.ts';
import { linkables, partners, partnerWords } from './linkable.ts';

async function make(stores = memoryStores(), stageId = 'm2') {
  const made = await provided<DriveLinkEditor>(
    html`<drive-link .rackId=${'melodica'} .stageId=${stageId}></drive-link>`,
    stores,
    220,
  );
  await unfold(made.element, inside<HTMLDetailsElement>(made.element, 'details'));
  return made;
}

function box(element: Element, rack: string, stage: string): HTMLInputElement {
  const label = all(element, `[role=group][aria-label="${rack}"] label`).find((one) => textOf(one).startsWith(stage));
  if (!label) throw new Error(`no ${stage} in ${rack}`);
  return label.querySelector('input')!;
}

describe('drive-link', () => {
  it('lists every other drive by rack, the own rack first', async () => {
    const { element } = await make();
    expect(all(element, '[role=group]').map((group) => group.getAttribute('aria-label'))).to.deep.equal([
      'Melodica',
      'Bass clarinet',
      'Accordion',
      'Frame drum',
      'Upright bass',
      'Reeds bus',
      'Rhythm bus',
      'Mix',
    ]);
    expect(all(element, '[aria-label=Melodica] label').map(textOf)).to.deep.equal([
      '1 Harmonic set −2.0 dB',
      '3 Soft clip 0.0 dB',
    ]);
    await expect(element).to.be.accessible();
  });

  it('links, adds a third one, and moves all by the same dB', async () => {
    const { element, stores } = await make();
    box(element, 'Reeds bus', '1 Soft').click();
    await element.updateComplete;
    box(element, 'Mix', '1 Soft').click();
    await element.updateComplete;
    const { links } = stores.session.document;
    expect(links.length).to.equal(1);
    expect(links[0].members.map(({ rackId, stageId }) => `${rackId} ${stageId}`)).to.deep.equal([
      'melodica m2',
      'reeds r1',
      'mix x1',
    ]);
    expect(partnerWords(partners(stores.session.document, { rackId: 'melodica', stageId: 'm2' }))).to.equal(
      'Reeds bus 1, Mix 1',
    );
    const drive = (rackId: string) => findRack(stores.session.document, rackId)!.stages[0].params.drive;
    const before = [drive('reeds'), drive('mix')].map(Number);
    stores.session.dispatch({
      type: 'set-parameter',
      rackId: 'melodica',
      stageId: 'm2',
      parameterId: 'drive',
      value: 3.5,
    });
    await element.updateComplete;
    expect([drive('reeds'), drive('mix')]).to.deep.equal(before.map((db) => db + 2.5));
    expect(textOf(box(element, 'Reeds bus', '1 Soft').closest('label')!)).to.equal('1 Soft clip −0.5 dB');
    await expect(element).to.be.accessible();
  });

  it('changes the mode before and after, by keys', async () => {
    const { element, stores } = await make();
    const [relative, absolute] = all<HTMLInputElement>(element, 'input[type=radio]');
    relative.focus();
    await sendKeys({ press: 'ArrowDown' });
    await element.updateComplete;
    expect(absolute.checked).to.equal(true);
    const other = box(element, 'Frame drum', '2 Soft');
    other.focus();
    await sendKeys({ press: ' ' });
    await element.updateComplete;
    expect(stores.session.document.links[0].mode).to.equal('absolute');
    relative.click();
    await element.updateComplete;
    expect(stores.session.document.links[0].mode).to.equal('relative');
  });

  it('takes others out, and itself', async () => {
    const stores = memoryStores();
    const members = [
      { rackId: 'melodica', stageId: 'm2' },
      { rackId: 'reeds', stageId: 'r1' },
      { rackId: 'mix', stageId: 'x1' },
      { rackId: 'drum', stageId: 'd1' },
    ];
    stores.session.dispatch({ type: 'link-drives', id: 'l1', mode: 'relative', members });
    const { element } = await make(stores);
    box(element, 'Mix', '1 Soft').click();
    await element.updateComplete;
    expect(stores.session.document.links[0].members.length).to.equal(3);
    all<HTMLButtonElement>(element, 'button')
      .find((one) => textOf(one) === 'Take this drive out')!
      .click();
    await element.updateComplete;
    expect(stores.session.document.links[0].members.map(({ rackId }) => rackId)).to.deep.equal(['reeds', 'drum']);
    expect(textOf(box(element, 'Reeds bus', '1 Soft').closest('label')!)).to.contain('in another link');
    expect(all(element, 'button').length).to.equal(0);
  });

  it('says so where there is nothing to link with', async () => {
    const { element } = await make(memoryStores(emptySession(48_000)));
    expect(textOf(inside(element, 'details'))).to.contain('no other stage');
    await expect(element).to.be.accessible();
  });

  it('leaves stages without a drive out', () => {
    const document = memoryStores().session.document;
    document.channels[0].rack.stages.push({ id: 'm9', kind: 'from-the-future', on: true, params: {}, notes: '' });
    expect(linkables(document, 'mix').some(({ stageId }) => stageId === 'm9')).to.equal(false);
    expect(linkables(document, 'mix')[0].rack).to.equal('Mix');
  });
});
