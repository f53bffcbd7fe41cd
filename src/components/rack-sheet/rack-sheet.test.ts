import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, frames, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { sextet, stage } from '../../../tests/browser/fixture/session.ts';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import { stageKinds } from '../../engine/stages/catalogue.ts';
import { layColumns } from './columns.ts';
import type { RackSheet } from './rack-sheet.ts';
import './rack-sheet.ts';

async function make(stores = memoryStores(), width = 1100) {
  const made = await provided<RackSheet>(html`<rack-sheet></rack-sheet>`, stores, width);
  await frames();
  await made.element.updateComplete;
  return made;
}

/** A session whose melodica has eight stages. */
function full() {
  const document = sextet();
  document.channels[0].rack.stages = Array.from({ length: 8 }, (_, i) =>
    stage(`s${i}`, ['soft-clip', 'harmonic-set', 'diode-pair'][i % 3]),
  );
  return memoryStores(document);
}

describe('rack-sheet', () => {
  it('stands the stages under their stretches of the level diagram', async () => {
    const { element } = await make();
    const diagram = inside<HTMLElementTagNameMap['level-diagram']>(element, 'level-diagram');
    const left = diagram.getBoundingClientRect().left;
    const columns = all(element, 'stage-column');
    expect(columns.length).to.equal(3);
    columns.forEach((column, i) => {
      expect(column.getBoundingClientRect().left - left).to.be.closeTo(diagram.stretches.edges[i], 0.5);
    });
    await expect(element).to.be.accessible();
  });

  it('shows the rack that was chosen', async () => {
    const { element, stores } = await make();
    expect(textOf(inside(element, 'h2'))).to.equal('Melodica channel into Reeds bus');
    stores.session.selectRack('rhythm');
    await element.updateComplete;
    expect(textOf(inside(element, 'h2'))).to.equal('Rhythm bus bus into the mix');
    expect(
      all<HTMLElementTagNameMap['stage-column']>(element, 'stage-column').map(({ stage }) => stage.id),
    ).to.deep.equal(['y1']);
  });

  it('says that scenes on the sides take the rack’s place, and gives it back with one press', async () => {
    const { element, stores } = await make();
    const { session, player } = stores;
    const note = () => element.shadowRoot!.querySelector('.unheard');
    session.dispatch({ type: 'store-scene', id: 's1', name: 'Gentle' });
    session.dispatch({ type: 'store-scene', id: 's2', name: 'Pushed' });
    session.dispatch({ type: 'set-sides', a: 's1' });
    await element.updateComplete;
    expect(note(), 'the rack stands on side B').to.equal(null);
    session.dispatch({ type: 'set-sides', b: 's2' });
    player.setSide('clean');
    await element.updateComplete;
    expect(textOf(note()!)).to.contain('isn’t heard: the switch compares Gentle and Pushed.');
    await expect(element).to.be.accessible();
    inside<HTMLButtonElement>(element, '.unheard button').click();
    await element.updateComplete;
    expect(session.document.sides).to.deep.equal({ a: 's1', b: 'current' });
    expect(player.side).to.equal('coloured');
    expect(note()).to.equal(null);
  });

  it('scrolls many stages sideways inside itself, within reach of the keyboard', async () => {
    const { element } = await make(full());
    const scroller = inside(element, '.scroller');
    expect(scroller.scrollWidth).to.be.greaterThan(scroller.clientWidth);
    expect(scroller.tabIndex).to.equal(0);
    expect(element.scrollWidth).to.be.at.most(element.clientWidth);
    const out = inside(element, '.out').getBoundingClientRect();
    expect(out.right).to.be.at.most(element.getBoundingClientRect().right + 0.5);
    await expect(element).to.be.accessible();
  });

  it('takes no more than eight stages', async () => {
    const { element } = await make(full());
    const buttons = all<HTMLButtonElement>(element, '.catalogue li button');
    expect(buttons.length).to.equal(stageKinds.length);
    expect(buttons.every(({ disabled }) => disabled)).to.equal(true);
    expect(textOf(inside(element, '.catalogue'))).to.contain('at most 8 stages');
  });

  it('adds a stage of each kind of the catalogue', async () => {
    const { element, stores } = await make();
    stores.session.dispatch({ type: 'clear-rack', rackId: 'melodica' });
    await element.updateComplete;
    for (const [i, kind] of stageKinds.entries()) {
      all<HTMLButtonElement>(element, '.catalogue li button')[i].click();
      await element.updateComplete;
      const stages = stores.session.document.channels[0].rack.stages;
      expect(stages.at(-1)!.kind).to.equal(kind.id);
    }
    expect(all(element, 'stage-column').length).to.equal(stageKinds.length);
  });

  it('says that an empty rack changes nothing, and what could be added', async () => {
    const stores = memoryStores();
    stores.session.selectRack('shaker');
    const { element } = await make(stores);
    const catalogue = textOf(inside(element, '.catalogue'));
    expect(catalogue).to.contain('bit for bit');
    for (const { about } of stageKinds) expect(catalogue).to.contain(about);
    await expect(element).to.be.accessible();
  });

  it('turns the rack off, and its path goes straight', async () => {
    const { element, stores } = await make();
    inside<HTMLInputElement>(element, 'header input[role=switch]').click();
    await element.updateComplete;
    expect(stores.session.commands).to.deep.equal([{ type: 'set-rack-on', rackId: 'melodica', on: false }]);
    const diagram = inside<HTMLElementTagNameMap['level-diagram']>(element, 'level-diagram');
    expect(diagram.stages.map(({ on }) => on)).to.deep.equal([false, false, false]);
  });

  it('gives the reason where there are no figures', async () => {
    const stores = memoryStores();
    const nothing = { input: null, output: null, match: null, taps: [], faces: [], toneDb: null, addedPercent: null };
    stores.analysis.set({
      racks: new Map([['melodica', { rackId: 'melodica', reason: 'Silence in the match region.', ...nothing }]]),
    });
    const { element } = await make(stores);
    expect(inside<HTMLElementTagNameMap['level-diagram']>(element, 'level-diagram').reason).to.equal(
      'Silence in the match region.',
    );
    expect(textOf(inside(element, '.in dl'))).to.contain('– Silence in the match region.');
    await expect(element).to.be.accessible();
  });

  it('says so while levels are still being measured', async () => {
    const stores = memoryStores();
    const reason = (element: RackSheet) =>
      inside<HTMLElementTagNameMap['level-diagram']>(element, 'level-diagram').reason;
    stores.analysis.set({
      status: 'working',
      racks: new Map([['melodica', { ...stores.analysis.rack('melodica')!, taps: [] }]]),
    });
    const { element } = await make(stores);
    expect(reason(element)).to.equal('Being measured…');
    stores.analysis.set({ status: 'idle', racks: new Map() });
    await element.updateComplete;
    expect(reason(element)).to.equal('Not measured yet.');
  });

  it('stands in one column on a narrow screen, without the switch that stands beside Play', async () => {
    const { element } = await provided<RackSheet>(html`<rack-sheet narrow></rack-sheet>`, full(), 366);
    await frames();
    await element.updateComplete;
    expect(element.scrollWidth).to.be.at.most(366);
    const lefts = all(element, 'stage-column').map((column) => column.getBoundingClientRect().left);
    expect(new Set(lefts).size).to.equal(1);
    expect(inside<HTMLElementTagNameMap['matched-switch']>(element, 'matched-switch').show).to.equal('figures');
  });
});

describe('layColumns', () => {
  it('fills the width while it can, and scrolls when it must', () => {
    const roomy = layColumns(1200, 2, 13, false);
    expect(roomy.stretches.right).to.equal(1200);
    expect(roomy.scrolls).to.equal(false);
    const tight = layColumns(700, 5, 13, false);
    expect(tight.scrolls).to.equal(true);
    expect(tight.stretches.edges[1] - tight.stretches.edges[0]).to.equal(17 * 13);
  });

  it('keeps notes on each rack, the mix too', async () => {
    const { element, stores } = await make();
    const field = () => inside<HTMLTextAreaElement>(inside(element, '.out note-field'), 'textarea');
    field().value = 'Reed noise';
    field().dispatchEvent(new Event('change'));
    stores.session.selectRack('mix');
    await element.updateComplete;
    await inside<HTMLElementTagNameMap['note-field']>(element, '.out note-field').updateComplete;
    expect(field().value).to.equal('');
    field().value = 'Last of all';
    field().dispatchEvent(new Event('change'));
    const { channels, mix } = stores.session.document;
    expect([channels[0].rack.notes, mix.rack.notes]).to.deep.equal(['Reed noise', 'Last of all']);
  });
});
