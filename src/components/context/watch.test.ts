import { expect, fixture } from '@open-wc/testing';
import { html, LitElement } from 'lit';
import { property } from 'lit/decorators.js';
import { Watch } from './watch.ts';

class Source {
  value = 1;
  readonly listeners = new Set<() => void>();
  subscribe(listener: () => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }
  set(value: number): void {
    this.value = value;
    for (const listener of this.listeners) listener();
  }
}

class WatchProbe extends LitElement {
  @property({ attribute: false }) source?: Source;
  readonly watch = new Watch(this, () => this.source);
  override render() {
    return html`${this.source?.value}`;
  }
}
customElements.define('watch-probe', WatchProbe);

describe('Watch', () => {
  it('renders again when the store says so, and after the store was replaced', async () => {
    const first = new Source();
    const probe = await fixture<WatchProbe>(html`<watch-probe .source=${first}></watch-probe>`);
    first.set(2);
    await probe.updateComplete;
    expect(probe.shadowRoot!.textContent).to.equal('2');

    const second = new Source();
    probe.source = second;
    await probe.updateComplete;
    expect(first.listeners.size).to.equal(0);
    second.set(7);
    await probe.updateComplete;
    expect(probe.shadowRoot!.textContent).to.equal('7');
  });

  it('lets the store go when the element leaves, and takes it up again when it returns', async () => {
    const source = new Source();
    const probe = await fixture<WatchProbe>(html`<watch-probe .source=${source}></watch-probe>`);
    const parent = probe.parentElement!;
    probe.remove();
    expect(source.listeners.size).to.equal(0);
    source.set(3);
    parent.append(probe);
    await probe.updateComplete;
    expect(source.listeners.size).to.equal(1);
    expect(probe.shadowRoot!.textContent).to.equal('3');
  });
});
