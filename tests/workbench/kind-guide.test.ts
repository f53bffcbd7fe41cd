import { expect, it } from 'vitest';
import { stageKinds } from '../../src/engine/stages/catalogue.ts';
import { KindGuide } from '../../src/workbench/kind-guide.ts';

const FIGURE = { levels: [], frequencies: [] };

it('measures each kind once, again at another operating level, and goes on where one can’t be measured', async () => {
  const asked: string[] = [];
  const session = { sampleRate: 48_000, alignmentDbfs: -18 };
  const guide = new KindGuide(
    () => session,
    async (kindId, sampleRate, operatingDbfs) => {
      asked.push(`${kindId} ${sampleRate} ${operatingDbfs}`);
      if (kindId === stageKinds[1].id) throw new Error('The worker stopped.');
      return FIGURE;
    },
  );
  await guide.look();
  expect(asked).toEqual(stageKinds.map(({ id }) => `${id} 48000 -18`));
  expect(guide.figures.size).toBe(stageKinds.length - 1);
  await guide.look();
  expect(asked.slice(stageKinds.length)).toEqual([`${stageKinds[1].id} 48000 -18`]);
  session.alignmentDbfs = -20;
  const first = guide.look();
  await guide.look();
  await first;
  expect(guide.figures.size).toBe(stageKinds.length - 1);
  expect(asked.at(-1)).toBe(`${stageKinds.at(-1)?.id} 48000 -20`);
});
