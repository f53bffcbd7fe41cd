/** The primitives of src/components/base side by side; pictures of them are left in .cache/looks. */
import { expect, fixture } from '@open-wc/testing';
import { executeServerCommand, setViewport } from '@web/test-runner-commands';
import { html } from 'lit';
import type { LooksPage } from './fixture/looks.ts';
import './fixture/looks.ts';
import { all, inside, loadTokens } from './fixture/provide.ts';

/** The least that is read on this screen, CSS px. */
const SMALLEST_PX = 12;

async function shown(width: number, media: Record<string, string>): Promise<LooksPage> {
  await setViewport({ width, height: 800 });
  await executeServerCommand('emulate-looks', media);
  await loadTokens();
  const page = await fixture<LooksPage>(html`<looks-page></looks-page>`);
  const style = Object.entries(media).map(([name, value]) => matchMedia(`(${name}: ${value})`).matches);
  expect(style.every(Boolean), 'the browser does what it was asked').to.equal(true);
  return page;
}

const picture = (name: string) => executeServerCommand('take-picture', name);
const style = (page: Element, selector: string) => getComputedStyle(inside(page, selector));

const hasText = (element: Element) =>
  [...element.childNodes].some((node) => node.nodeType === Node.TEXT_NODE && node.textContent?.trim());

function expectReadable(page: Element): void {
  const texts = all(page, '*').filter((element) => element.localName !== 'style' && hasText(element));
  expect(texts.length).to.be.greaterThan(40);
  const small = texts.filter((element) => Number.parseFloat(getComputedStyle(element).fontSize) < SMALLEST_PX);
  expect(small.map((element) => element.outerHTML)).to.deep.equal([]);
}

function expectNoOverflow(page: HTMLElement): void {
  expect(document.documentElement.scrollWidth).to.be.at.most(window.innerWidth);
  const wide = all(page, 'section, section > *, button, .segments span').filter(
    (element) => element.clientWidth > 0 && element.scrollWidth > element.clientWidth + 1,
  );
  expect(wide.map((element) => element.outerHTML)).to.deep.equal([]);
}

/** WCAG 2.2's contrast of two opaque colours: 1 to 21. */
function contrast(one: string, other: string): number {
  const luminance = (colour: string) => {
    const [r, g, b] = (colour.match(/[\d.]+/g) ?? []).map((value) => {
      const c = Number(value) / 255;
      return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const [low, high] = [luminance(one), luminance(other)].sort((a, b) => a - b);
  return (high + 0.05) / (low + 0.05);
}

describe('the looks of the primitives', () => {
  after(async () => {
    await executeServerCommand('emulate-looks', {});
    await setViewport({ width: 800, height: 600 });
  });

  for (const scheme of ['light', 'dark']) {
    for (const [name, width] of [
      ['wide', 1200],
      ['narrow', 390],
    ] as const) {
      it(`are read in ${scheme} colours on a ${name} screen`, async () => {
        const page = await shown(width, { 'prefers-color-scheme': scheme });
        await picture(`${name}-${scheme}`);
        expectReadable(page);
        expectNoOverflow(page);
        // Axe leaves out what is disabled; it is still read.
        for (const span of all(page, '.segments input:checked + span')) {
          const { color, backgroundColor } = getComputedStyle(span);
          expect(contrast(color, backgroundColor), span.outerHTML).to.be.at.least(4.5);
        }
        await expect(page).to.be.accessible();
      });
    }
  }

  it('say in forced colours what is chosen, and frame what stands out', async () => {
    const page = await shown(1200, { 'forced-colors': 'active' });
    await picture('forced-colours');
    const chosen = style(page, '.choices .large label:nth-child(2) span').backgroundColor;
    expect(chosen).not.to.equal(style(page, '.choices .large label:nth-child(1) span').backgroundColor);
    expect(chosen).to.equal(style(page, "button[aria-pressed='true']").backgroundColor);
    expect(chosen).to.equal(style(page, '.buttons .primary').backgroundColor);
    for (const callout of all(page, '.callout')) {
      expect(Number.parseFloat(getComputedStyle(callout).borderRightWidth)).to.be.greaterThan(0);
    }
  });

  it('have room for a finger where one points with it, and a ring where the keyboard is', async () => {
    const page = await shown(390, {});
    const target = Number.parseFloat(getComputedStyle(document.documentElement).fontSize) * 2.5;
    const pressed = all(page, 'button, select, summary, label.switch, .segments label');
    const heights = pressed.map((element) => element.getBoundingClientRect().height);
    expect(Math.min(...heights)).to.be.at.least(target - 2);
    inside(page, '.buttons .primary').focus({ focusVisible: true } as FocusOptions);
    expect(style(page, '.buttons .primary').outlineWidth).to.equal('2px');
  });

  it('use one scale: bars, segments and buttons of one row are alike', async () => {
    const page = await shown(1200, {});
    const bars = all(page, 'progress').map((bar) => bar.getBoundingClientRect().height);
    expect(new Set(bars).size).to.equal(1);
    expect(style(page, '.folds details[open] p').display).to.equal('block');
    const head = inside(page, '.scroll thead th');
    const top = head.getBoundingClientRect().top;
    inside(page, '.scroll').scrollTop = 20;
    expect(head.getBoundingClientRect().top, 'heads stay in sight').to.be.closeTo(top, 0.5);
  });
});
