import { expect } from '@open-wc/testing';
import { MemoryTrials } from '../../../tests/browser/fixture/trials.ts';
import { firstDraft, OWN_SOUND, ownSound, questionOf, ruleOf, stillThere, withControl } from './trial-draft.ts';

const lists = new MemoryTrials();
const [clean, current, gentle] = lists.sounds.map(({ value }) => value);

describe('the draft of a trial', () => {
  it('begins with clean against the session as it is now', () => {
    expect(questionOf(firstDraft(lists), lists)).to.deep.equal({
      kind: 'abx',
      sounds: [clean, current],
      rule: { type: 'fixed', trials: 16 },
    });
    // Whatever the list's order.
    const turned = { ...lists, sounds: [...lists.sounds].reverse() };
    expect(questionOf(firstDraft(turned), turned)).to.have.deep.property('sounds', [clean, current]);
  });

  it('becomes each of the three questions', () => {
    const draft = firstDraft(lists);
    expect(questionOf({ ...draft, rule: 'any-time' }, lists)).to.have.deep.property('rule', {
      type: 'any-time',
      cap: 60,
    });
    const liked = { ...draft, kind: 'preference' as const, liked: ['clean', 'current', 'gentle'] };
    expect(ruleOf({ ...liked, rule: 'any-time' })).to.equal('fixed');
    expect(questionOf({ ...liked, rule: 'any-time', trials: 30 }, lists)).to.deep.equal({
      kind: 'preference',
      sounds: [clean, current, gentle],
      rule: { type: 'fixed', trials: 30 },
    });
    expect(questionOf({ ...draft, kind: 'drive-search', min: -3, max: 4.5, driveTrials: 24 }, lists)).to.deep.equal({
      kind: 'drive-search',
      control: lists.controls[0].value,
      min: -3,
      max: 4.5,
      trials: 24,
    });
    expect(withControl(draft, lists.controls[1])).to.include({ controlId: 'all', min: -12, max: 12 });
  });

  it('says what is missing', () => {
    const draft = firstDraft(lists);
    expect(questionOf({ ...draft, pair: ['clean', 'clean'] }, lists)).to.equal(
      '“Clean” is chosen twice. Choose another sound in one place.',
    );
    expect(questionOf({ ...draft, kind: 'drive-search', min: 1, max: 2.9 }, lists)).to.match(/at least 2 dB above/);
    const empty = { sounds: [], controls: [], stages: [] };
    expect(questionOf(firstDraft(empty), empty)).to.match(/Add a stage first/);
    expect(questionOf({ ...firstDraft(empty), kind: 'drive-search' }, empty)).to.match(/Add a stage first/);
  });

  it('forgets what the session no longer has, and keeps the rest', () => {
    const draft = {
      ...firstDraft(lists),
      pair: ['gentle', 'current'] as const,
      liked: ['clean', 'current', 'gentle'],
      trials: 20,
    };
    const { stages } = lists;
    const without = {
      sounds: lists.sounds.filter(({ id }) => id !== 'gentle'),
      controls: lists.controls.slice(1),
      stages,
    };
    const left = stillThere(draft, without);
    expect(left.pair).to.deep.equal(['clean', 'current']);
    expect(left.liked).to.deep.equal(['clean', 'current']);
    expect(left).to.include({ controlId: 'all', min: -12, max: 12, trials: 20 });
    expect(stillThere(draft, lists)).to.deep.equal(draft);
  });

  it('has one stage at another setting among the sounds, as long as that stage is there', () => {
    const [clip, diodes] = lists.stages;
    const draft = { ...firstDraft(lists), pair: ['current', OWN_SOUND] as const };
    const { own } = draft;
    expect(own).to.deep.equal({ what: 'stage', rackId: 'melodica', stageId: 'm3', parameterId: 'drive', value: -5 });
    const bold = { ...draft, own: { ...own!, value: -1.5 } };
    expect(questionOf(bold, lists)).to.have.deep.property('sounds', [current, { ...own, value: -1.5 }]);
    expect(stillThere(bold, lists)).to.deep.equal(bold);
    const without = { ...lists, stages: [diodes] };
    expect(stillThere(bold, without).own).to.deep.equal(ownSound(diodes));
    expect(stillThere(bold, { ...lists, stages: [] }).pair).to.deep.equal(['current', 'current']);
    // What is not set has its default.
    expect(ownSound(clip, 'trimIn')).to.include({ parameterId: 'trimIn', value: 0 });
  });
});
