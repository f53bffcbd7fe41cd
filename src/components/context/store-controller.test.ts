import { ContextProvider, createContext } from '@lit/context';
import { expect, fixture } from '@open-wc/testing';
import { html, LitElement } from 'lit';
import { customElement } from 'lit/decorators.js';
import { store } from './store-controller.ts';

class Source {
  readonly listeners = new Set<() => void>();
  constructor(
    public value: number,
    readonly part?: Source,
  ) {}
  subscribe(listener: () => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }
  set(value: number): void {
    this.value = value;
    for (const listener of this.listeners) listener();
  }
}

const context = createContext<Source>(Symbol('source'));

@customElement('store-probe')
class StoreProbe extends LitElement {
  @store(context, (source) => source.part!) private source?: Source;
  override render() {
    return html`${this.source?.value} ${this.source?.part?.value}`;
  }
}

async function under(source: Source) {
  const parentNode = document.createElement('div');
  document.body.append(parentNode);
  const provider = new ContextProvider(parentNode, { context, initialValue: source });
  provider.hostConnected();
  const probe = await fixture<StoreProbe>(html`<store-probe></store-probe>`, { parentNode });
  const shown = async () => {
    await probe.updateComplete;
    return probe.shadowRoot!.textContent;
  };
  return { probe, provider, shown, parentNode };
}

describe('store', () => {
  it('renders again when the store or a part of it says so', async () => {
    const source = new Source(1, new Source(10));
    const { shown } = await under(source);
    expect(await shown()).to.equal('1 10');
    source.set(2);
    expect(await shown()).to.equal('2 10');
    source.part!.set(20);
    expect(await shown()).to.equal('2 20');
  });

  it('takes another store up when the context brings one', async () => {
    const [first, second] = [new Source(1, new Source(10)), new Source(3, new Source(30))];
    const { shown, provider } = await under(first);
    provider.setValue(second);
    expect(await shown()).to.equal('3 30');
    expect([first, first.part!].map(({ listeners }) => listeners.size)).to.deep.equal([0, 0]);
    second.part!.set(31);
    expect(await shown()).to.equal('3 31');
  });

  it('lets all go when the element leaves, and shows what is so when it returns', async () => {
    const source = new Source(1, new Source(10));
    const { probe, shown, parentNode } = await under(source);
    probe.remove();
    expect([source, source.part!].map(({ listeners }) => listeners.size)).to.deep.equal([0, 0]);
    source.set(5);
    parentNode.append(probe);
    expect(await shown()).to.equal('5 10');
    expect([source, source.part!].map(({ listeners }) => listeners.size)).to.deep.equal([1, 1]);
  });

  it('keeps two elements of one kind apart', async () => {
    const one = await under(new Source(1, new Source(10)));
    const other = await under(new Source(2, new Source(20)));
    expect([await one.shown(), await other.shown()]).to.deep.equal(['1 10', '2 20']);
  });
});
