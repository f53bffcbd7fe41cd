import { type Context, ContextConsumer } from '@lit/context';
import type { ReactiveControllerHost, ReactiveElement } from 'lit';
import type { Observable } from '../../stores/observable.ts';
import { Watch } from './watch.ts';

/**
 * A store that comes by context, and what else of it the host shows: the host renders again whenever one of them
 * changes. It is let go while the host is off the page.
 */
export class StoreController<T extends Observable> {
  readonly #consumer: ContextConsumer<Context<unknown, T | undefined>, ReactiveControllerHost & HTMLElement>;

  constructor(
    host: ReactiveControllerHost & HTMLElement,
    context: Context<unknown, T | undefined>,
    parts: readonly ((store: T) => Observable)[] = [],
  ) {
    this.#consumer = new ContextConsumer(host, { context, subscribe: true });
    new Watch(host, () => this.value);
    for (const part of parts) new Watch(host, () => this.value && part(this.value));
  }

  /** Undefined until the context delivers it. */
  get value(): T | undefined {
    return this.#consumer.value;
  }
}

/**
 * A field that holds the store of a context and renders its element again after every change of the store, and of its
 * `parts`, which tell their own changes. Where nothing of a store is shown, `consume` alone is enough.
 */
export function store<T extends Observable>(
  context: Context<unknown, T | undefined>,
  ...parts: readonly ((store: T) => Observable)[]
) {
  return (prototype: ReactiveElement, name: string): void => {
    const controllers = new WeakMap<ReactiveElement, StoreController<T>>();
    (prototype.constructor as typeof ReactiveElement).addInitializer((element) => {
      controllers.set(element, new StoreController(element, context, parts));
    });
    Object.defineProperty(prototype, name, {
      get(this: ReactiveElement) {
        return controllers.get(this)?.value;
      },
    });
  };
}
