import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import type { AudioReference } from '../../session/document.ts';
import type { VersionQuestion } from './version-question.ts';
import './version-question.ts';

const audio = (file: string, seconds: number): AudioReference => ({
  file,
  sha256: 'a'.repeat(64),
  sampleRate: 48_000,
  channelCount: 1,
  frames: seconds * 48_000,
});

const melodica = {
  id: 7,
  channels: ['Melodica'],
  file: audio('melodica.flac', 25.5),
  before: audio('melodica.flac', 24),
};
const drum = {
  id: 8,
  channels: ['Frame drum', 'Drum far'],
  file: audio('drum.wav', 20),
  before: audio('drum.wav', 24),
};

async function make(versions: readonly (typeof melodica)[]) {
  const made = await provided<VersionQuestion>(html`<version-question></version-question>`);
  made.stores.session.files.set({ versions });
  await made.element.updateComplete;
  return made;
}

function button(element: Element, name: string): HTMLButtonElement {
  const found = all<HTMLButtonElement>(element, 'button').find((one) => textOf(one) === name);
  if (!found) throw new Error(`no button "${name}"`);
  return found;
}

describe('version-question', () => {
  it('stays away while there is nothing to ask', async () => {
    const { element } = await make([]);
    expect(element.open).to.equal(false);
  });

  it('asks about one file, with what is known of both, and takes each answer', async () => {
    for (const [name, answer] of [
      ['Use it instead', 'answer 7 use'],
      ['Add it as a channel', 'answer 7 add'],
      ['Leave it out', 'answer '],
    ]) {
      const { element, stores } = await make([melodica]);
      expect(element.open).to.equal(true);
      expect(textOf(inside(element, 'h2'))).to.equal('This is another version of “melodica.flac”: use it?');
      expect(textOf(inside(element, 'li'))).to.equal(
        'For Melodica. This one: 0:25.5, mono, 48 kHz. Now: 0:24.0, mono, 48 kHz.',
      );
      await expect(element).to.be.accessible();
      button(element, name).click();
      await element.updateComplete;
      expect(stores.session.files.calls).to.deep.equal([answer]);
      expect(element.open).to.equal(false);
    }
  });

  it('asks about several in one go', async () => {
    const { element, stores } = await make([melodica, drum]);
    expect(textOf(inside(element, 'h2'))).to.contain('2 files are other versions');
    await expect(element).to.be.accessible();
    all<HTMLSelectElement>(element, 'select')[1].value = 'add';
    button(element, 'Do this').click();
    expect(stores.session.files.calls).to.deep.equal(['answer 7 use, 8 add']);
  });

  it('leaves all out when it is closed', async () => {
    const { element, stores } = await make([melodica, drum]);
    inside(element, 'dialog').dispatchEvent(new Event('cancel', { cancelable: true }));
    expect(stores.session.files.calls).to.deep.equal(['answer ']);
  });

  it('says so when a file has another name', async () => {
    const { element } = await make([{ ...melodica, file: audio('take 2.wav', 24) }]);
    expect(textOf(inside(element, 'h2'))).to.equal(
      '“take 2.wav” is another file than “melodica.flac”: use it instead?',
    );
  });
});
