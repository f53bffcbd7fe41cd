import { fromEvent } from 'file-selector';
import type { ReactiveController, ReactiveControllerHost } from 'lit';

/**
 * Takes files and folders dropped anywhere in the window, and knows while some hover over it. Of a folder all files
 * come, those in its folders too. Dragged text or links are left alone, and a dropped file never makes the browser
 * leave the page.
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
    const plain = [...event.dataTransfer.files];
    const hasFolder = [...event.dataTransfer.items].some((item) => item.webkitGetAsEntry?.()?.isDirectory);
    if (hasFolder) void this.#walk(event, plain);
    else if (plain.length > 0) this.#take(plain);
  };

  /** A folder that can't be walked comes as the browser sees it, and is named when it can't be read. */
  async #walk(event: DragEvent, plain: readonly File[]): Promise<void> {
    const found = await fromEvent(event).catch(() => plain);
    const files = found.filter((one) => one instanceof File);
    if (files.length > 0) this.#take(files);
  }

  #hover(hovering: boolean): void {
    if (hovering === this.hovering) return;
    this.hovering = hovering;
    this.#host.requestUpdate();
  }
}
