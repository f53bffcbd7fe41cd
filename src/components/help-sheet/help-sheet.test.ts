import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import type { HelpSheet } from './help-sheet.ts';
import './help-sheet.ts';

describe('help-sheet', () => {
  it('opens as a modal dialog, holds the focus and closes', async () => {
    const { element } = await provided<HelpSheet>(html`<help-sheet></help-sheet>`);
    expect(element.open).to.equal(false);
    element.show();
    element.show();
    expect(element.open).to.equal(true);
    expect(inside(element, 'dialog').matches(':modal')).to.equal(true);
    expect(textOf(element.shadowRoot!.activeElement!)).to.equal('Close');
    await expect(element).to.be.accessible();
    expect(textOf(inside(element, '.groups')))
      .to.contain('B Set one up')
      .and.to.contain('1 2 3 Hear the first');
    inside<HTMLButtonElement>(element, 'button').click();
    expect(element.open).to.equal(false);
  });
});
