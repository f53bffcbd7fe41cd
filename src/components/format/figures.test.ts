import { expect } from '@open-wc/testing';
import { change, clock, figure, hertz } from './figures.ts';

describe('figures', () => {
  it('prints a true minus, a plus only where asked, and never a negative zero', () => {
    expect(figure(-6.94, { digits: 1 })).to.equal('−6.9');
    expect(figure(3, { digits: 1, signed: true, unit: 'dB' })).to.equal('+3.0 dB');
    expect(figure(3, { digits: 1 })).to.equal('3.0');
    expect(figure(-0.04, { digits: 1, signed: true })).to.equal('0.0');
  });

  it('prints a dash for what is not a figure', () => {
    for (const value of [null, undefined, Number.NEGATIVE_INFINITY, Number.NaN]) {
      expect(figure(value, { digits: 1, unit: 'dB' })).to.equal('–');
    }
  });

  it('takes a change only between two figures', () => {
    expect(change(-2, -5)).to.equal(-3);
    expect(change(null, -5)).to.equal(null);
    expect(change(0, undefined)).to.equal(null);
  });

  it('prints times and frequencies', () => {
    expect(clock(72.04)).to.equal('1:12.0');
    expect(clock(59.97)).to.equal('1:00.0');
    expect(clock(4, 0)).to.equal('0:04');
    expect([31.5, 800, 1250, 16000].map(hertz)).to.deep.equal(['31.5', '800', '1.25 k', '16 k']);
  });
});
