import { expect } from '@open-wc/testing';
import { memoryStores } from '../../../tests/browser/fixture/stores.ts';
import { compared, sideWords } from './compared.ts';

describe('what the two sides are called', () => {
  it('is clean and coloured only where that stands there', () => {
    const { session } = memoryStores();
    const words = () => sideWords(session.document);
    expect(words()).to.deep.equal({ a: 'clean', b: 'coloured', third: 'added' });
    session.dispatch({ type: 'store-scene', id: 's1', name: 'Gentle' });
    session.dispatch({ type: 'store-scene', id: 's2', name: 'Pushed' });
    session.dispatch({ type: 'set-sides', b: 's2' });
    expect(words()).to.deep.equal({ a: 'clean', b: 'Pushed', third: 'added' });
    session.dispatch({ type: 'set-sides', a: 's1' });
    expect(words()).to.deep.equal({ a: 'Gentle', b: 'Pushed', third: 'difference' });
    session.dispatch({ type: 'set-sides', b: 'current' });
    expect(words()).to.deep.equal({ a: 'Gentle', b: 'now', third: 'difference' });
    expect(compared(session.document).b).to.equal('As it is now');
  });

  it('says which racks are moved where not all are', () => {
    const { session } = memoryStores();
    session.dispatch({ type: 'set-scope', scope: { kind: 'only', rackId: 'drum' } });
    expect(sideWords(session.document)).to.deep.equal({ a: 'Frame drum: clean', b: 'coloured', third: 'added' });
    session.dispatch({ type: 'set-scope', scope: { kind: 'all-but', rackId: 'mix' } });
    expect(sideWords(session.document).a).to.equal('all but Mix: clean');
  });
});
