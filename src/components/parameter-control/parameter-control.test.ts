import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, inside, press, provided } from '../../../tests/browser/fixture/provide.ts';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import type { Parameter } from '../../engine/parameters.ts';
import { findParameter } from '../../engine/stages/catalogue.ts';
import { diodePair } from '../../engine/stages/diode-pair.ts';
import { softClip } from '../../engine/stages/soft-clip.ts';
import type { ParameterControl } from './parameter-control.ts';
import './parameter-control.ts';

async function control(parameter: Parameter, value?: number | string) {
  return provided<ParameterControl>(
    html`<parameter-control
      .parameter=${parameter}
      .value=${value}
      .rackId=${'melodica'}
      .stageId=${'m3'}
    ></parameter-control>`,
    memoryStores(),
  );
}

describe('parameter-control', () => {
  it('sends a moved value to its stage of its rack', async () => {
    const { element, stores } = await control(findParameter(softClip, 'drive')!, 2);
    const slider = inside(element, 'value-slider');
    press(inside(slider, 'input[type=range]'), 'ArrowUp');
    expect(stores.session.commands).to.deep.equal([
      { type: 'set-parameter', rackId: 'melodica', stageId: 'm3', parameterId: 'drive', value: 2.5 },
    ]);
    await expect(element).to.be.accessible();
  });

  it('starts at the default where the document has no value', async () => {
    const { element } = await control(findParameter(softClip, 'knee')!, undefined);
    expect(inside<HTMLElementTagNameMap['value-slider']>(element, 'value-slider').value).to.equal(2);
  });

  it('offers many choices as a list', async () => {
    const { element, stores } = await control(findParameter(softClip, 'curve')!, 'tanh');
    const select = inside<HTMLSelectElement>(element, 'select');
    expect([...select.options].map(({ value }) => value)).to.deep.equal(['tanh', 'arctangent', 'cubic', 'algebraic']);
    expect(select.value).to.equal('tanh');
    select.value = 'cubic';
    select.dispatchEvent(new Event('change'));
    expect(stores.session.commands).to.deep.equal([
      { type: 'set-parameter', rackId: 'melodica', stageId: 'm3', parameterId: 'curve', value: 'cubic' },
    ]);
    await expect(element).to.be.accessible();
  });

  it('offers few short choices side by side', async () => {
    const { element, stores } = await control(findParameter(diodePair, 'up')!, '2');
    const radios = all<HTMLInputElement>(element, 'input[type=radio]');
    expect(radios.map(({ checked }) => checked)).to.deep.equal([false, true, false, false]);
    radios[3].click();
    expect(stores.session.commands).to.deep.equal([
      { type: 'set-parameter', rackId: 'melodica', stageId: 'm3', parameterId: 'up', value: '4' },
    ]);
    await expect(element).to.be.accessible();
  });
});
