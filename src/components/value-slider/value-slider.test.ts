import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { inside, press, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import { type ContinuousParameter, formatValue } from '../../engine/parameters.ts';
import { findParameter } from '../../engine/stages/catalogue.ts';
import { softClip } from '../../engine/stages/soft-clip.ts';
import { balance } from '../rack-routing/strip-parameters.ts';
import { parseValue } from './parse-value.ts';
import type { ValueSlider } from './value-slider.ts';
import './value-slider.ts';

const drive = findParameter(softClip, 'drive') as ContinuousParameter;
const knee = findParameter(softClip, 'knee') as ContinuousParameter;
const at = findParameter(softClip, 'tiltFrequency') as ContinuousParameter;

/** A slider whose value is taken over by its user, as in the product. */
async function slider(declaration: ContinuousParameter, value: number) {
  const values: number[] = [];
  const { element } = await provided<ValueSlider>(
    html`<value-slider
      .declaration=${declaration}
      .value=${value}
      @value-change=${(event: CustomEvent<{ value: number }>) => {
        values.push(event.detail.value);
        (event.target as ValueSlider).value = event.detail.value;
      }}
    ></value-slider>`,
  );
  const range = inside<HTMLInputElement>(element, 'input[type=range]');
  const field = inside<HTMLInputElement>(element, '.field');
  const type = async (text: string) => {
    field.focus();
    field.value = text;
    press(field, 'Enter');
    await element.updateComplete;
  };
  return { element, range, field, values, type };
}

describe('value-slider', () => {
  it('is accessible and says its value with the unit', async () => {
    const { element, range } = await slider(drive, -2);
    expect(range.getAttribute('aria-valuetext')).to.equal('−2.0 dB');
    await expect(element).to.be.accessible();
  });

  it('takes a drag along the travel, rounded as it is shown', async () => {
    const { range, values } = await slider(drive, 0);
    range.value = '0.7513';
    range.dispatchEvent(new Event('input'));
    expect(values).to.deep.equal([12.1]);
    range.value = '1';
    range.dispatchEvent(new Event('input'));
    expect(values.at(-1)).to.equal(drive.max);
  });

  it('maps the travel by the declared taper', async () => {
    const { range, values } = await slider(knee, 2);
    range.value = '0.5';
    range.dispatchEvent(new Event('input'));
    expect(values).to.deep.equal([10]);
  });

  it('steps by the declaration, finely with shift, and never out of the range', async () => {
    const { element, range, values } = await slider(drive, 0);
    const steps: [string, boolean, number][] = [
      ['ArrowUp', false, 0.5],
      ['ArrowRight', true, 0.55],
      ['ArrowDown', false, 0.05],
      ['PageUp', false, 5.05],
      ['End', false, 24],
      ['PageUp', false, 24],
      ['Home', false, -24],
    ];
    for (const [key, shiftKey, expected] of steps) {
      expect(press(range, key, { shiftKey }).defaultPrevented, key).to.equal(true);
      await element.updateComplete;
      expect(element.value, key).to.equal(expected);
    }
    expect(values.every((value) => value >= drive.min && value <= drive.max)).to.equal(true);
  });

  it('leaves other keys alone', async () => {
    const { range, values } = await slider(drive, 0);
    expect(press(range, 'x').defaultPrevented).to.equal(false);
    expect(press(range, 'ArrowUp', { ctrlKey: true }).defaultPrevented).to.equal(false);
    expect(values).to.deep.equal([]);
  });

  it('returns to the default by Delete and by a double click', async () => {
    const { element, range, values } = await slider(knee, 30);
    press(range, 'Delete');
    await element.updateComplete;
    expect(values).to.deep.equal([2]);
    element.value = 50;
    await element.updateComplete;
    range.dispatchEvent(new MouseEvent('dblclick'));
    expect(values).to.deep.equal([2, 2]);
  });

  it('takes a typed value, with its unit or without', async () => {
    const { element, field, values, type } = await slider(drive, 0);
    await type('−3,25 dB');
    expect(values).to.deep.equal([-3.25]);
    field.blur();
    await element.updateComplete;
    expect(field.value).to.equal('−3.3 dB');
  });

  it('refuses a typed value outside the range with a sentence, and keeps the one there was', async () => {
    const { element, field, values, type } = await slider(drive, 1);
    await type('30');
    expect(values).to.deep.equal([]);
    const alert = inside(element, '[role=alert]');
    expect(textOf(alert)).to.equal('Drive goes from −24.0 dB to +24.0 dB; “30” is outside.');
    expect(field.getAttribute('aria-invalid')).to.equal('true');
    expect(field.value).to.equal('1');
    await expect(element).to.be.accessible();
    await type('3');
    expect(values).to.deep.equal([3]);
    expect(element.shadowRoot!.querySelector('[role=alert]')).to.equal(null);
  });

  it('says when something typed is no number', async () => {
    const { element, values, type } = await slider(drive, 1);
    await type('loud');
    expect(values).to.deep.equal([]);
    expect(textOf(inside(element, '[role=alert]'))).to.contain('“loud” is not a number');
  });

  it('forgets what was typed on Escape', async () => {
    const { element, field, values } = await slider(drive, 1);
    field.focus();
    field.value = '7';
    press(field, 'Escape');
    field.blur();
    await element.updateComplete;
    expect(values).to.deep.equal([]);
    expect(field.value).to.equal('+1.0 dB');
  });

  it('does not move by the wheel', async () => {
    const { range, values } = await slider(drive, 0);
    range.focus();
    const wheel = new WheelEvent('wheel', { deltaY: 100, bubbles: true, cancelable: true });
    range.dispatchEvent(wheel);
    expect(wheel.defaultPrevented).to.equal(false);
    expect(values).to.deep.equal([]);
  });

  it('stays where it is when nobody takes the value over', async () => {
    const { element } = await provided<ValueSlider>(
      html`<value-slider .declaration=${drive} .value=${0}></value-slider>`,
    );
    const range = inside<HTMLInputElement>(element, 'input[type=range]');
    range.value = '0.9';
    range.dispatchEvent(new Event('input'));
    await element.updateComplete;
    expect(Number(range.value)).to.be.closeTo(0.5, 1e-6);
  });
});

describe('parseValue', () => {
  it('reads the side of a balance before or behind its figure', () => {
    for (const typed of ['L40', 'L 40', 'l40', '40L', '40 L', '-40', '−40', 'L40 %']) {
      expect(parseValue(typed, balance), typed).to.equal(-40);
    }
    for (const typed of ['R 25', 'r25', '25', '+25', '25 % R']) expect(parseValue(typed, balance), typed).to.equal(25);
    for (const typed of ['L0', '0', 'R 0']) expect(Object.is(parseValue(typed, balance), 0), typed).to.equal(true);
    for (const nonsense of ['L', 'L-40', 'LR4', 'left 3'])
      expect(parseValue(nonsense, balance), nonsense).to.equal(null);
    expect([-40, 0, 25].map((value) => formatValue(balance, value))).to.deep.equal(['L 40 %', '0 %', 'R 25 %']);
    expect(parseValue('L40', drive)).to.equal(null);
  });

  it('reads units, kilo and the words at the ends', () => {
    expect(parseValue('1.2k', at)).to.equal(1200);
    expect(parseValue('1.2 kHz', at)).to.equal(1200);
    expect(parseValue('hard', knee)).to.equal(100);
    expect(parseValue('.5', knee)).to.equal(0.5);
    for (const nonsense of ['', '3 Hz', '1e3', '--2', '3 4']) expect(parseValue(nonsense, drive)).to.equal(null);
  });
});
