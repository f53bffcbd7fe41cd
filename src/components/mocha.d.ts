/** The globals of the browser test runner that the component tests use. */
declare function describe(title: string, body: () => void): void;
declare function it(title: string, body: (this: { timeout(ms: number): void }) => void | Promise<void>): void;
declare function beforeEach(body: (this: { timeout(ms: number): void }) => void | Promise<void>): void;
declare function afterEach(body: (this: { timeout(ms: number): void }) => void | Promise<void>): void;
