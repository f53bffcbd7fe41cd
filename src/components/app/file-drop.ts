import type { ReactiveController, ReactiveControllerHost } from 'lit';

/**
 * Takes files dropped anywhere in the window, and knows while some hover over it. Dragged text or links are left
 * alone, and a dropped file never makes the browser leave the page.
 */
export class FileDrop implements ReactiveController {
  hovering = false;
  readonly #host: ReactiveControllerHost;
  readonly #take: (files: readonly File[]) => void;

  constructor(host: ReactiveControllerHost, take: (files: readonly File[]) => void) {
    this.#host = host;
    this.#take = take;
    host.addController(this);
  }

  hostConnected(): void {
    window.addEventListener('dragenter', this.#over);
    window.addEventListener('dragover', this.#over);
    window.addEventListener('dragleave', this.#leave);
    window.addEventListener('drop', this.#drop);
  }

  hostDisconnected(): void {
    window.removeEventListener('dragenter', this.#over);
    window.removeEventListener('dragover', this.#over);
    window.removeEventListener('dragleave', this.#leave);
    window.removeEventListener('drop', this.#drop);
    this.hovering = false;
  }

  readonly #over = (event: DragEvent): void => {
    if (!event.dataTransfer?.types.includes('Files')) return;
    event.preventDefault();
    event.dataTransfer.dropEffect = 'copy';
    this.#hover(true);
  };

  readonly #leave = (event: DragEvent): void => {
    // Leaving one element for another is no leaving; out of the window there is nothing entered.
    if (event.relatedTarget === null) this.#hover(false);
  };

  readonly #drop = (event: DragEvent): void => {
    this.#hover(false);
    if (!event.dataTransfer?.types.includes('Files')) return;
    event.preventDefault();
    const files = [...event.dataTransfer.files];
    if (files.length > 0) this.#take(files);
  };

  #hover(hovering: boolean): void {
    if (hovering === this.hovering) return;
    this.hovering = hovering;
    this.#host.requestUpdate();
  }
}
