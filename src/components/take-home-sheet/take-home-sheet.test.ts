import { expect } from '@open-wc/testing';
import { sendKeys } from '@web/test-runner-commands';
import { html } from 'lit';
import { all, frames, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import { importCheck, WRITTEN } from '../../../tests/browser/fixture/take-home.ts';
import { sizeText } from './file-tables.ts';
import type { TakeHomeSheet } from './take-home-sheet.ts';
import './take-home-sheet.ts';

async function opened(stores = memoryStores()) {
  const made = await provided<TakeHomeSheet>(html`<take-home-sheet></take-home-sheet>`, stores);
  await made.element.show();
  await made.element.updateComplete;
  return made;
}

function button(element: Element, name: string): HTMLButtonElement {
  const found = all<HTMLButtonElement>(element, 'button').find((one) => textOf(one) === name);
  if (!found) throw new Error(`no button "${name}"`);
  return found;
}

const cells = (element: Element) => all(element, '.files tr').map((row) => [...row.children].map(textOf));

describe('take-home-sheet', () => {
  it('lists the files and their sizes before anything is written', async () => {
    const { element, stores } = await opened();
    expect(element.open).to.equal(true);
    expect(stores.takeHome.shown).to.equal(true);
    expect(cells(element)).to.deep.equal([
      ['File', 'Channels', 'Size'],
      ['clean.wav', 'stereo', '6.9 MB'],
      ['coloured.wav', 'stereo', '6.9 MB'],
      ['report.html', '', '– Its size is known at the end'],
      ['report.md', '', '– Its size is known at the end'],
      ['report.json', '', '– Its size is known at the end'],
      ['5 files', '', '13.8 MB'],
    ]);
    await expect(element).to.be.accessible();
  });

  it('follows what is chosen', async () => {
    const { element, stores } = await opened();
    inside<HTMLInputElement>(element, 'input[name=report]').click();
    const fader = inside<HTMLSelectElement>(element, '#fader');
    expect(fader.disabled, 'where prints are taken matters only where there are some').to.equal(true);
    inside<HTMLInputElement>(element, 'input[name=buses]').click();
    await element.updateComplete;
    expect(fader.disabled).to.equal(false);
    fader.value = 'after';
    fader.dispatchEvent(new Event('change'));
    const format = inside<HTMLSelectElement>(element, '#format');
    format.value = 'flac 16';
    format.dispatchEvent(new Event('change'));
    await element.updateComplete;
    expect(stores.takeHome.settings).to.deep.equal({
      pair: true,
      channels: false,
      buses: true,
      fader: 'after',
      report: false,
      format: 'flac',
      bits: 16,
    });
    expect(cells(element).at(-2)).to.deep.equal(['buses after fader/Rhythm bus.flac', 'stereo', 'up to 6.9 MB']);
    const factor = inside<HTMLSelectElement>(element, '#oversampling');
    factor.value = '8';
    factor.dispatchEvent(new Event('change'));
    expect(stores.session.commands).to.deep.equal([{ type: 'set-export-oversampling', factor: 8 }]);
    expect(stores.session.document.exportOversampling).to.equal(8);
  });

  it('says what must be known, and refuses what cannot be written', async () => {
    const stores = memoryStores();
    stores.takeHome.sentences = ['Muted, and so in no file: "Shaker".'];
    stores.takeHome.warnings = ['Over full scale: coloured.wav by 0.5 dB.'];
    const { element } = await opened(stores);
    expect(textOf(inside(element, '.sentences'))).to.equal('Muted, and so in no file: "Shaker".');
    expect(textOf(inside(element, '.list .warning'))).to.equal('Over full scale: coloured.wav by 0.5 dB.');
    expect(button(element, 'Write one ZIP…').disabled).to.equal(false);
    stores.takeHome.set({ refusal: 'Choose at least one thing to write.' });
    await element.updateComplete;
    expect(button(element, 'Write one ZIP…').disabled).to.equal(true);
    expect(button(element, 'Write into a folder…').disabled).to.equal(true);
    expect(textOf(inside(element, '.fault'))).to.equal('Choose at least one thing to write.');
    await expect(element).to.be.accessible();
  });

  it('asks where to, and offers a folder only where there is one to choose', async () => {
    const { element, stores } = await opened();
    button(element, 'Write one ZIP…').click();
    button(element, 'Write into a folder…').click();
    expect(stores.takeHome.calls).to.deep.equal(['zip', 'folder']);
    stores.takeHome.set({ canChooseFolder: false });
    await element.updateComplete;
    expect(all(element, 'button').map(textOf)).not.to.include('Write into a folder…');
  });

  it('shows how far it is, takes no second job, and cancels by keyboard where the button was', async () => {
    const { element, stores } = await opened();
    button(element, 'Write one ZIP…').focus();
    stores.takeHome.set({ work: { what: 'export', doing: 'Rendering and writing', share: 0.424 } });
    await element.updateComplete;
    expect(inside<HTMLProgressElement>(element, 'progress').value).to.be.closeTo(0.424, 1e-6);
    expect(textOf(inside(element, '.share'))).to.equal('42 %');
    for (const name of ['HTML…', 'Markdown…', 'JSON…', 'Choose your mixdown…']) {
      expect(button(element, name).disabled, name).to.equal(true);
    }
    expect(inside<HTMLFieldSetElement>(element, 'fieldset').disabled).to.equal(true);
    await expect(element).to.be.accessible();
    expect(element.shadowRoot!.activeElement).to.equal(button(element, 'Cancel'));
    await sendKeys({ press: 'Enter' });
    expect(stores.takeHome.calls).to.deep.equal(['cancel']);
    await element.updateComplete;
    expect(element.shadowRoot!.activeElement).to.equal(button(element, 'Write one ZIP…'));
  });

  it('shows a share that is not known as such', async () => {
    const { element, stores } = await opened();
    stores.takeHome.set({ work: { what: 'check', doing: 'Comparing', share: null } });
    await element.updateComplete;
    expect(inside<HTMLProgressElement>(element, 'progress').position).to.equal(-1);
    stores.takeHome.set({ work: { what: 'check', doing: 'Comparing', share: 0 } });
    await element.updateComplete;
    expect(inside<HTMLProgressElement>(element, 'progress').position).to.equal(0);
  });

  it('says what was written, with the true peak and the overs of each file', async () => {
    const { element, stores } = await opened();
    stores.takeHome.set({
      ending: {
        how: 'written',
        what: 'export',
        text: 'Written: 3 files in "sextet export.zip".',
        files: WRITTEN,
        warnings: ['coloured.wav: 312 samples over full scale, limited (true peak +0.8 dBTP).'],
      },
    });
    await element.updateComplete;
    expect(cells(element)).to.deep.equal([
      ['File', 'Channels', 'Size', 'True peak dBTP', 'Overs'],
      ['clean.wav', 'stereo', '6.9 MB', '−3.7', '0'],
      ['coloured.wav', 'stereo', '6.9 MB', '0.8', '312'],
      ['report.html', '', '310 kB', '', ''],
    ]);
    expect(textOf(inside(element, '.done'))).to.contain('Written: 3 files');
    expect(textOf(inside(element, '.warning'))).to.contain('312 samples');
    await expect(element).to.be.accessible();
  });

  it('says how a report or an export ended, each at its own place', async () => {
    const { element, stores } = await opened();
    stores.takeHome.set({ ending: { how: 'failed', what: 'report', text: 'The disk is full.' } });
    await element.updateComplete;
    expect(textOf(inside(element, '.aside .fault'))).to.equal('The disk is full.');
    stores.takeHome.set({ ending: { how: 'cancelled', what: 'export', text: 'Nothing is left of it.' } });
    await element.updateComplete;
    expect(textOf(inside(element, '.list .done'))).to.equal('Nothing is left of it.');
    expect(element.shadowRoot!.querySelector('.aside .ending')).to.equal(null);
  });

  it('saves the report as each kind by itself', async () => {
    const { element, stores } = await opened();
    for (const name of ['HTML…', 'Markdown…', 'JSON…']) button(element, name).click();
    expect(stores.takeHome.calls).to.deep.equal(['report html', 'report md', 'report json']);
  });

  it('checks a chosen mixdown and shows what is left as bars and as a table', async () => {
    const { element, stores } = await opened();
    const picker = inside<HTMLInputElement>(element, '#mixdown');
    const transfer = new DataTransfer();
    transfer.items.add(new File(['x'], 'bounce.wav'));
    picker.files = transfer.files;
    picker.dispatchEvent(new Event('change'));
    expect(stores.takeHome.calls).to.deep.equal(['check bounce.wav']);
    expect(picker.value, 'the same file can be chosen again').to.equal('');
    stores.takeHome.set({ checked: { file: 'bounce.wav', check: importCheck(), fault: null, outdated: false } });
    await element.updateComplete;
    expect(textOf(inside(element, '.verdict'))).to.contain('52.1 dB below the mixdown');
    expect(all(element, 'dd').map(textOf)).to.deep.equal(['+480', '+1.52', '+1.50', 'same', '−52.1']);
    const heights = all(element, '.band i').map((bar) => bar.getBoundingClientRect().height);
    expect(heights.length).to.equal(30);
    // The strongest band stands highest, and one without a figure has no bar.
    expect(heights.indexOf(Math.max(...heights))).to.equal(6);
    expect(heights.at(-1)).to.equal(0);
    expect(inside(element, '.bars').getAttribute('aria-label')).to.contain('Most is left at 100 Hz: −48.0 dB');
    await expect(element).to.be.accessible();
    button(element, 'Table').click();
    await element.updateComplete;
    expect(textOf(all(element, '.checked tbody tr')[6])).to.equal('100 +2.00 −48.0');
    await expect(element).to.be.accessible();
  });

  it('says what to do next of a session that stands, and of one that is offset', async () => {
    const { element, stores } = await opened();
    const { comparison } = importCheck();
    const check = importCheck({
      verdict: 'stands',
      sentences: ['The session stands as it left your host: nothing at all is left.'],
      comparison: { ...comparison, identical: true, residualDb: null },
    });
    stores.takeHome.set({ checked: { file: 'bounce.wav', check, fault: null, outdated: false } });
    await element.updateComplete;
    expect(textOf(inside(element, '.verdict'))).to.contain('Nothing to do');
    expect(all(element, 'dd').map(textOf).at(-1)).to.equal('nothing');
    stores.takeHome.set({
      checked: { file: 'bounce.wav', check: importCheck({ verdict: 'offset' }), fault: null, outdated: false },
    });
    await element.updateComplete;
    expect(textOf(inside(element, '.verdict'))).to.contain('put the gains right here first');
  });

  it('says that a check is of the session as it was', async () => {
    const { element, stores } = await opened();
    stores.takeHome.set({ checked: { file: 'bounce.wav', check: importCheck(), fault: null, outdated: true } });
    await element.updateComplete;
    expect(textOf(inside(element, '.aside .warning'))).to.equal('The session has changed since. Check it again.');
  });

  it('shows no figures of silence, and the sentence of a file that cannot be read', async () => {
    const { element, stores } = await opened();
    const check = importCheck({ verdict: 'silent', sentences: ['One of the two is silent. Choose another file.'] });
    stores.takeHome.set({ checked: { file: 'bounce.wav', check, fault: null, outdated: false } });
    await element.updateComplete;
    expect(all(element, 'dd')).to.deep.equal([]);
    stores.takeHome.set({
      checked: { file: 'x.txt', check: null, fault: 'x.txt: It is no sound file.', outdated: false },
    });
    await element.updateComplete;
    expect(textOf(inside(element, '.aside .fault'))).to.equal('x.txt: It is no sound file.');
    await expect(element).to.be.accessible();
  });

  it('closes by its button, by Escape and beside the sheet, and says so', async () => {
    const { element, stores } = await opened();
    // The dialog closes at once and tells it when the browser comes to it.
    const told = async () => {
      while (stores.takeHome.shown) await frames();
    };
    button(element, 'Close').click();
    await told();
    expect(element.open).to.equal(false);
    await element.show();
    expect(stores.takeHome.shown).to.equal(true);
    await sendKeys({ press: 'Escape' });
    await told();
    expect(element.open).to.equal(false);
    await element.show();
    inside<HTMLDialogElement>(element, 'dialog').click();
    expect(element.open).to.equal(false);
  });
});

describe('sizes', () => {
  it('never reach four digits of a smaller unit', () => {
    expect(
      [1, 1499, 999_499, 999_500, 41_472_000, 999_949_999, 999_950_000, 4_294_967_295].map(sizeText),
    ).to.deep.equal(['1 kB', '1 kB', '999 kB', '1.0 MB', '41.5 MB', '999.9 MB', '1.00 GB', '4.29 GB']);
  });
});
