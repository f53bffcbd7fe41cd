import { expect } from '@open-wc/testing';
import { html } from 'lit';
import { all, inside, provided, textOf } from '../../../tests/browser/fixture/provide.ts';
import type { TapLevels } from '../../stores/analysis-store.ts';
import type { LevelDiagram } from './level-diagram.ts';
import { levelLine, levelRange, onePercentTicks, type StageOnPath, trimMarks } from './level-path.ts';
import './level-diagram.ts';

const stretches = { left: 0, edges: [100, 200], right: 300 };
const taps = [
  { truePeakDbtp: -6, integratedLufs: -20 },
  { truePeakDbtp: -8, integratedLufs: -20.5 },
];
const stage: StageOnPath = { on: true, trimInDb: 3, trimOutDb: -4, onePercentDbfs: -10 };
const peak = (tap: TapLevels) => tap.truePeakDbtp;

describe('level path', () => {
  it('steps by trim in, then by what the curve does, then by trim out, then by the match', () => {
    const line = levelLine(taps, [stage], -6.5, stretches, peak);
    expect(line.map(({ db }) => db)).to.deep.equal([-6, -6, -3, -3, -4, -4, -8, -8, -6.5, -6.5]);
    expect(line[0].x).to.equal(0);
    expect(line.at(-1)!.x).to.equal(300);
    expect(line.every(({ x }, i) => i === 0 || x >= line[i - 1].x)).to.equal(true);
  });

  it('passes a stage that is off straight through', () => {
    const through = [taps[0], taps[0]];
    const line = levelLine(through, [{ ...stage, on: false }], -6, stretches, peak);
    expect(line).to.deep.equal([
      { x: 0, db: -6 },
      { x: 300, db: -6 },
    ]);
    expect(trimMarks(through, [{ ...stage, on: false }], stretches)).to.deep.equal([]);
    expect(onePercentTicks([{ ...stage, on: false }], stretches)).to.deep.equal([]);
  });

  it('stops where the figures stop, and draws nothing without any', () => {
    const line = levelLine([taps[0]], [stage], null, stretches, peak);
    expect(line).to.deep.equal([
      { x: 0, db: -6 },
      { x: 100, db: -6 },
    ]);
    expect(levelLine([], [stage], null, stretches, peak)).to.deep.equal([]);
    expect(levelLine([{ truePeakDbtp: null, integratedLufs: null }], [], null, stretches, peak)).to.deep.equal([]);
  });

  it('marks each trim half way up its slope', () => {
    expect(trimMarks(taps, [stage], stretches)).to.deep.equal([
      { x: 111, db: -4.5, trimDb: 3 },
      { x: 189, db: -6, trimDb: -4 },
    ]);
  });

  it('ranges over whole steps of six, with every level inside', () => {
    expect(levelRange([])).to.deep.equal([-24, 0]);
    expect(levelRange([-6.9, -21.3])).to.deep.equal([-24, 0]);
    expect(levelRange([2, -40])).to.deep.equal([-42, 6]);
    expect(levelRange([null, Number.NEGATIVE_INFINITY, -3])[1]).to.equal(0);
    expect(levelRange([-300])[0]).to.equal(-60);
  });
});

describe('level-diagram', () => {
  const diagram = async (over: Partial<LevelDiagram> = {}) => {
    const given = { taps, stages: [stage], output: taps[0], range: [-24, 0], stretches, reason: null, ...over };
    const { element } = await provided<LevelDiagram>(
      html`<level-diagram
        .taps=${given.taps}
        .stages=${given.stages}
        .output=${given.output}
        .range=${given.range}
        .stretches=${given.stretches}
        .reason=${given.reason}
      ></level-diagram>`,
    );
    return element;
  };

  it('draws clean thin and coloured heavy, and says every level in words', async () => {
    const element = await diagram();
    const width = (selector: string) => Number.parseFloat(getComputedStyle(inside(element, selector)).strokeWidth);
    expect(width('.coloured.peak')).to.be.at.least(2 * width('.clean.peak'));
    expect(inside(element, 'svg').getAttribute('aria-label')).to.equal(
      'Level diagram: in −6.0 dBTP, −20.0 LUFS; after stage 1 −8.0 dBTP, −20.5 LUFS; matched −6.0 dBTP, −20.0 LUFS.',
    );
    await expect(element).to.be.accessible();
  });

  it('says the reason instead of drawing lines', async () => {
    const element = await diagram({ reason: 'Silence in the match region.' });
    expect(textOf(inside(element, 'p'))).to.equal('Silence in the match region.');
    expect(all(element, '.coloured')).to.deep.equal([]);
  });
});
