/** The demo session shows what there is, mildly. */
import { expect, it } from 'vitest';
import { stageKinds } from '../../src/engine/stages/catalogue.ts';
import { stageFace } from '../../src/measure/stage-face.ts';
import { findRack, rackIds } from '../../src/session/document.ts';
import { demoSession } from '../../src/workbench/demo.ts';

const session = demoSession();
const stages = rackIds(session).flatMap((id) => findRack(session, id)?.stages ?? []);

it('has at least one stage of each kind', () => {
  expect(new Set(stages.map(({ kind }) => kind))).toEqual(new Set(stageKinds.map(({ id }) => id)));
});

it('has no stage that makes more than 1 % THD at the operating level', () => {
  for (const stage of stages) {
    expect(stageFace(stage, session.alignmentDbfs)?.thdPercent, `${stage.kind} ${stage.id}`).toBeLessThan(1);
  }
});
