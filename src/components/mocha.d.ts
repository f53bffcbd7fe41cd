/** The globals of the browser test runner that the component tests use. */
declare function describe(title: string, body: () => void): void;
declare function it(title: string, body: () => void | Promise<void>): void;
declare function beforeEach(body: () => void | Promise<void>): void;
declare function afterEach(body: () => void | Promise<void>): void;
