import { expect } from '@open-wc/testing';
import { sendKeys } from '@web/test-runner-commands';
import { html } from 'lit';
import { inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import type { NoteField } from './note-field.ts';
import './note-field.ts';

const rack = (rackId: string) => ({ kind: 'rack', rackId }) as const;

describe('note-field', () => {
  it('stores what was typed when it is left, and nothing before', async () => {
    const { element, stores } = await provided<NoteField>(
      html`<note-field label="Notes on Melodica" .place=${rack('melodica')}></note-field>`,
    );
    await expect(element).to.be.accessible();
    const field = inside<HTMLTextAreaElement>(element, 'textarea');
    field.focus();
    await sendKeys({ type: 'Reed noise' });
    expect(stores.session.commands).to.deep.equal([]);
    field.blur();
    expect(stores.session.commands).to.deep.equal([
      { type: 'set-notes', place: { kind: 'rack', rackId: 'melodica' }, notes: 'Reed noise' },
    ]);
  });

  it('shows how folded notes begin', async () => {
    const { element } = await provided<NoteField>(
      html`<note-field fold label="Notes on Melodica" .place=${rack('melodica')} notes="Keep it soft"></note-field>`,
    );
    expect(inside<HTMLDetailsElement>(element, 'details').open).to.equal(false);
    expect(textOf(inside(element, 'summary'))).to.equal('NotesKeep it soft');
    await expect(element).to.be.accessible();
  });

  it('is another field at another place, and follows undo', async () => {
    const { element } = await provided<NoteField>(html`<note-field .place=${rack('melodica')}></note-field>`);
    const field = () => inside<HTMLTextAreaElement>(element, 'textarea');
    field().value = 'half a sen';
    element.place = rack('drum');
    await element.updateComplete;
    expect(field().value).to.equal('');
    element.notes = 'of the drum';
    await element.updateComplete;
    expect(field().value).to.equal('of the drum');
    element.notes = '';
    await element.updateComplete;
    expect(field().value).to.equal('');
  });
});
