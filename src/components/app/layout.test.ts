import { expect } from '@open-wc/testing';
import { setViewport } from '@web/test-runner-commands';
import { appOn, elements } from '../../../tests/browser/fixture/app.ts';
import { frames, inside, loadTokens, textOf } from '../../../tests/browser/fixture/provide.ts';
import { sextet } from '../../../tests/browser/fixture/session.ts';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import { newChannel } from '../../session/document.ts';
import './level-best-app.ts';

const LONG = 'Overhead pair of the whole kit, left and right, second evening';

/** The sextet and strangers, up to so many channels, with a loop that is matched over. */
function session(channels: number) {
  const document = sextet();
  for (let i = document.channels.length; i < channels; i++) {
    document.channels.push(
      newChannel(`x${i}`, i % 4 ? `Stem ${i}` : `${i} ${LONG}`, { busId: i % 3 ? 'reeds' : null }),
    );
  }
  document.loop = { startSeconds: 4, endSeconds: 14 };
  return document;
}

/** What of a control can be seen: inside everything that clips it. */
function visible(control: HTMLElement): DOMRect {
  let { left, top, right, bottom } = boxOf(control);
  for (let up: Element | null = control; up; up = up.parentElement ?? hostOf(up)) {
    if (up === control || getComputedStyle(up).overflow === 'visible') continue;
    const clip = up.getBoundingClientRect();
    left = Math.max(left, clip.left);
    top = Math.max(top, clip.top);
    right = Math.min(right, clip.right);
    bottom = Math.min(bottom, clip.bottom);
  }
  return new DOMRect(left, top, Math.max(0, right - left), Math.max(0, bottom - top));
}

/** A fold's heading fills its row; a button may stand where its words don't reach. */
function boxOf(control: HTMLElement): DOMRect {
  if (control.localName !== 'summary') return control.getBoundingClientRect();
  const words = document.createRange();
  words.selectNodeContents(control);
  return words.getBoundingClientRect();
}

function hostOf(element: Element): Element | null {
  const root = element.getRootNode();
  return root instanceof ShadowRoot ? root.host : null;
}

/** Pairs of controls in one part of the screen that cover each other by more than a hairline. */
function covering(root: ParentNode): string[] {
  const shown = [...elements(root)]
    .filter((one) => one.matches('button, select, summary, input, textarea') && one.checkVisibility())
    // Marks over the waveform repeat what the waveform itself reaches; radios lie under their own words.
    .filter((one) => !one.closest('.marks') && !(one instanceof HTMLInputElement && one.type === 'radio'))
    .map((one) => ({ one, rect: visible(one) }))
    .filter(({ rect }) => rect.width > 2 && rect.height > 2);
  const found: string[] = [];
  for (const [i, a] of shown.entries()) {
    for (const b of shown.slice(i + 1)) {
      const across = Math.min(a.rect.right, b.rect.right) - Math.max(a.rect.left, b.rect.left);
      const down = Math.min(a.rect.bottom, b.rect.bottom) - Math.max(a.rect.top, b.rect.top);
      if (across > 1 && down > 1 && !a.one.contains(b.one) && !b.one.contains(a.one)) {
        found.push(`${nameOf(a.one)} / ${nameOf(b.one)}`);
      }
    }
  }
  return found;
}

function nameOf(one: HTMLElement): string {
  return `${one.localName} ${one.getAttribute('aria-label') ?? (textOf(one) || one.id)}`;
}

// Sizes that need a second frame are no fault of the page; the test runner takes the browser's note of it for one.
window.addEventListener(
  'error',
  (event) => {
    if (event.message.startsWith('ResizeObserver loop')) event.stopImmediatePropagation();
  },
  { capture: true },
);

beforeEach(loadTokens);

describe('the screen at many widths', () => {
  it('has no control that covers another, whatever is looped, selected and muted', async function () {
    this.timeout(120_000);
    const stores = memoryStores();
    await setViewport({ width: 1440, height: 900 });
    const app = await appOn(stores);
    const path = inside<HTMLElementTagNameMap['signal-path']>(app, 'signal-path');
    for (const channels of [6, 32]) {
      for (const measured of [false, true]) {
        const document = session(channels);
        stores.session.set({ document: { ...document, matchRegion: measured ? document.loop : null } });
        stores.player.set({ panic: measured });
        await frames();
        inside(path, 'button[data-rack=melodica]').click();
        const row = inside(path, 'button[data-rack=accordion]');
        if (measured) row.dispatchEvent(new MouseEvent('click', { shiftKey: true, bubbles: true }));
        for (const width of [861, 900, 1024, 1100, 1101, 1280, 1440, 1680, 1920, 2560]) {
          await setViewport({ width, height: 900 });
          await frames();
          for (const part of ['main', 'footer']) {
            const found = covering(inside(app, part));
            expect(found, `${part}, ${width} px, ${channels} channels, measured ${measured}`).to.deep.equal([]);
          }
        }
        inside(path, '.tools button').click();
        await frames();
      }
    }
  });

  it('shows 12, 24 and 32 channels in one list of its own, one line each', async () => {
    const stores = memoryStores();
    await setViewport({ width: 1440, height: 900 });
    const app = await appOn(stores);
    const path = inside<HTMLElementTagNameMap['signal-path']>(app, 'signal-path');
    const scroller = inside(path, '.scroller');
    for (const channels of [12, 24, 32]) {
      stores.session.set({ document: session(channels) });
      await frames();
      const rows = [...scroller.querySelectorAll<HTMLElement>('tbody tr')];
      expect(rows.length).to.equal(channels + 3);
      expect(new Set(rows.map(({ offsetHeight }) => offsetHeight)).size, 'as high as each other').to.be.at.most(2);
      expect(Math.max(...rows.map(({ offsetHeight }) => offsetHeight))).to.be.below(34);
      expect(scroller.offsetHeight).to.be.below(500);
      expect(scroller.scrollWidth).to.equal(scroller.clientWidth);
      const last = channels === 12 ? 'x8' : `x${channels - 4}`;
      const button = inside(path, `button[data-rack=${last}]`);
      expect(button.title).to.equal(textOf(button));
      expect(button.scrollWidth, 'cut off, the whole name at hand').to.be.greaterThan(button.clientWidth);
      stores.session.selectRack(last);
      await frames();
      const { top, bottom } = button.getBoundingClientRect();
      const box = scroller.getBoundingClientRect();
      expect(top).to.be.at.least(box.top);
      expect(bottom).to.be.at.most(box.bottom + 1);
      await expect(path).to.be.accessible();
    }
  });
});
