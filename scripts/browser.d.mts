export interface FoundBrowser {
  readonly executablePath: string;
  readonly args: string[];
  /** What must be added to the environment. */
  readonly env: Record<string, string>;
  readonly headless: true | 'shell';
}

/** @throws Error with one sentence that says what to do when there is no browser. */
export function findBrowser(): Promise<FoundBrowser>;
export function findFirefox(): string | null;
