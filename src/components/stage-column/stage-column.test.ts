import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { face } from '../../../tests/browser/fixture/figures.ts';
import { all, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { stage } from '../../../tests/browser/fixture/session.ts';
import type { Stage } from '../../session/document.ts';
import type { StageColumn } from './stage-column.ts';
import './stage-column.ts';

async function column(shown: Stage, index = 1, count = 3) {
  return provided<StageColumn>(
    html`<stage-column
      .rackId=${'melodica'}
      .stage=${shown}
      .index=${index}
      .count=${count}
      .face=${face(shown, 0)}
    ></stage-column>`,
  );
}

function parameters(element: StageColumn, selector: string): string[] {
  return all<HTMLElementTagNameMap['parameter-control']>(element, `${selector} parameter-control`).map(
    ({ parameter }) => parameter.id,
  );
}

describe('stage-column', () => {
  it('shows on its face what is set by ear, and the circuit one level deeper', async () => {
    const { element } = await column(stage('m2', 'soft-clip'));
    expect(parameters(element, 'section > .controls')).to.deep.equal([
      'trimIn',
      'drive',
      'bias',
      'curve',
      'trimOut',
      'band',
    ]);
    expect(parameters(element, 'details')).to.include.members(['blend', 'coupling', 'polarity']);
    expect(inside<HTMLDetailsElement>(element, 'details').open).to.equal(false);
    await expect(element).to.be.accessible();
  });

  it('shows a parameter that depends on a choice only with that choice', async () => {
    const { element } = await column(stage('m2', 'soft-clip', { curve: 'algebraic' }));
    expect(parameters(element, 'section > .controls')).to.include('knee');
  });

  it('turns the stage off, moves it and removes it', async () => {
    const { element, stores } = await column(stage('m2', 'diode-pair'));
    inside<HTMLInputElement>(element, 'input[role=switch]').click();
    const [earlier, later, remove] = all<HTMLButtonElement>(element, '.order button');
    earlier.click();
    later.click();
    remove.click();
    expect(stores.session.commands).to.deep.equal([
      { type: 'set-stage-on', rackId: 'melodica', stageId: 'm2', on: false },
      { type: 'move-stage', rackId: 'melodica', stageId: 'm2', index: 0 },
      { type: 'move-stage', rackId: 'melodica', stageId: 'm2', index: 2 },
      { type: 'remove-stage', rackId: 'melodica', stageId: 'm2' },
    ]);
  });

  it('shows the drive in effect beside the one that is set, while all drives are moved', async () => {
    const { element, stores } = await column(stage('m2', 'soft-clip', { drive: -4 }));
    expect(element.shadowRoot!.querySelector('.in-effect')).to.equal(null);
    stores.session.dispatch({ type: 'set-all-drives', db: -8 });
    await element.updateComplete;
    expect(textOf(inside(element, '.in-effect'))).to.equal('−12.0 dB in effect, all drives −8.0 dB');
    stores.session.dispatch({ type: 'set-all-drives', db: -23 });
    await element.updateComplete;
    expect(textOf(inside(element, '.in-effect'))).to.match(/^−24\.0 dB .*at the end of the range$/);
    await expect(element).to.be.accessible();
  });

  it('asks for the large curve', async () => {
    const { element } = await column(stage('m2', 'soft-clip'));
    const asked: unknown[] = [];
    element.addEventListener('curve-request', (event) => asked.push((event as CustomEvent).detail));
    inside<HTMLButtonElement>(element, 'button.curve').click();
    expect(asked).to.deep.equal([{ rackId: 'melodica', stageId: 'm2' }]);
  });

  it('cannot move past either end', async () => {
    const first = await column(stage('m1', 'soft-clip'), 0, 2);
    expect(all<HTMLButtonElement>(first.element, '.order button').map(({ disabled }) => disabled)).to.deep.equal([
      true,
      false,
      false,
    ]);
    const last = await column(stage('m1', 'soft-clip'), 1, 2);
    expect(all<HTMLButtonElement>(last.element, '.order button').map(({ disabled }) => disabled)).to.deep.equal([
      false,
      true,
      false,
    ]);
  });

  it('stays usable with a kind it does not know', async () => {
    const { element, stores } = await column({ id: 'm9', kind: 'from-the-future', on: true, params: {}, notes: '' });
    expect(textOf(inside(element, '.unknown'))).to.contain('from-the-future');
    all<HTMLButtonElement>(element, '.order button')[2].click();
    expect(stores.session.commands).to.deep.equal([{ type: 'remove-stage', rackId: 'melodica', stageId: 'm9' }]);
    await expect(element).to.be.accessible();
  });

  it('keeps notes with the circuit and says that there are some', async () => {
    const { element, stores } = await column(stage('m2', 'soft-clip'));
    expect(textOf(inside(element, 'summary'))).to.equal('Circuit');
    const field = inside<HTMLTextAreaElement>(inside(element, 'note-field'), 'textarea');
    field.value = 'Softer in the bridge';
    field.dispatchEvent(new Event('change'));
    expect(stores.session.commands).to.deep.equal([
      {
        type: 'set-notes',
        place: { kind: 'stage', rackId: 'melodica', stageId: 'm2' },
        notes: 'Softer in the bridge',
      },
    ]);
    expect(stores.session.document.channels[0].rack.stages[1].notes).to.equal('Softer in the bridge');
    element.stage = stores.session.document.channels[0].rack.stages[1];
    await element.updateComplete;
    expect(textOf(inside(element, 'summary'))).to.equal('Circuitwith notes');
  });

  it('says on its face whom its drive is linked with, and leads to where that is changed', async () => {
    const { element, stores } = await column(stage('m2', 'soft-clip'));
    expect(element.shadowRoot!.querySelector('.linked')).to.equal(null);
    const members = [
      { rackId: 'melodica', stageId: 'm2' },
      { rackId: 'reeds', stageId: 'r1' },
    ];
    stores.session.dispatch({ type: 'link-drives', id: 'l1', mode: 'absolute', members });
    await element.updateComplete;
    const sign = inside<HTMLButtonElement>(element, '.linked');
    expect(sign.title).to.equal('Moves to the same value as Reeds bus 1 Soft clip');
    expect(textOf(inside(element, '.with'))).to.equal('= Reeds bus 1');
    await expect(element).to.be.accessible();
    sign.click();
    await element.updateComplete;
    const link = inside<HTMLElementTagNameMap['drive-link']>(element, 'drive-link');
    await link.updateComplete;
    await new Promise((resolve) => setTimeout(resolve));
    expect(inside<HTMLDetailsElement>(element, 'footer > details').open).to.equal(true);
    expect(inside<HTMLDetailsElement>(link, 'details').open).to.equal(true);
    expect(link.shadowRoot!.activeElement?.localName).to.equal('summary');
  });
});
