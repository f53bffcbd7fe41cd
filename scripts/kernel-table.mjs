/**
 * Reads the stage kernels (worklets/kernels/stages) and writes what follows from them: the dispatch that the other
 * kernels call and the table that the engine reads. Kernel numbers, inputs, bytes of state and stated precision stand
 * nowhere else.
 *
 * A kernel is a function that the file exports: a curve is generic in width, `name<T>(x: T, c: usize): T`; a circuit with
 * memory is `name(buffer: usize, frames: i32, c0: usize, c1: usize, state: usize): void`, its memory `const enum
 * NameState { …, bytes }` counted in bytes. `prepareName` derives the coefficients, `cornersName` tells a curve's corners,
 * `knotsName` where a smooth one bends and up to which amplitude it is `@gentle`, `tableName` how fine a look-up table of a dear curve has to be,
 * `const enum Input` names the parameters the file is told, and `@precision` before a curve how far single precision may
 * be off.
 */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { basename } from 'node:path';

const KERNELS = 'worklets/kernels/stages';
/** Most coefficients of a kernel. */
const MAX_COEFFICIENTS = Number(
  /export const MAX_COEFFICIENTS: usize = (\d+);/.exec(readFileSync('worklets/kernels/lanes.ts', 'utf8'))?.[1],
);
/** Most cells of a table. */
const MAX_CELLS = Number(
  /export const MAX_CELLS: i32 = (\d+);/.exec(readFileSync('worklets/kernels/table.ts', 'utf8'))?.[1],
);
const KINDS = 'src/engine/stages';

/** Every kernel in the order of its file and place; throws an Error with a sentence where something is missing. */
export function readKernels() {
  const catalogue = readFileSync(`${KINDS}/catalogue.ts`, 'utf8');
  const kernels = readdirSync(KERNELS)
    .filter((file) => file.endsWith('.ts'))
    .sort()
    .flatMap((file) => {
      const kind = `${KINDS}/${file}`;
      if (!existsSync(kind)) throw new Error(`${KERNELS}/${file} has no declaration: write ${kind}.`);
      if (!catalogue.includes(`'./${file}'`)) {
        throw new Error(`${kind} is not in the catalogue: add its line to ${KINDS}/catalogue.ts.`);
      }
      return kernelsOf(file, readFileSync(kind, 'utf8'));
    });
  return kernels.map((kernel, number) => ({ ...kernel, number }));
}

function kernelsOf(file, declaration) {
  const text = readFileSync(`${KERNELS}/${file}`, 'utf8');
  const module = `./stages/${basename(file, '.ts')}`;
  const inputs = enumOf(text, 'Input') ?? [];
  const found = [...text.matchAll(/^export function (\w+)(<T>)?\(/gm)]
    .filter(([, name]) => !/^(prepare|corners|knots|table)[A-Z]/.test(name))
    .map(([, name, isGeneric], index, all) => {
      const pascal = name[0].toUpperCase() + name.slice(1);
      const has = (part) => text.includes(`export function ${part}${pascal}(`);
      const from = index === 0 ? 0 : all[index - 1].index;
      if (!has('prepare')) throw new Error(`${KERNELS}/${file} has ${name} but no prepare${pascal}.`);
      if (!new RegExp(`'${name}'`).test(declaration)) {
        throw new Error(`${KINDS}/${file} doesn't use the kernel '${name}' of ${KERNELS}/${file}.`);
      }
      return {
        name,
        pascal,
        module,
        inputs,
        isCurve: isGeneric !== undefined,
        hasCorners: has('corners'),
        hasKnots: has('knots'),
        hasTable: has('table'),
        gentlePeak: has('knots') ? gentleOf(text, pascal, file) : 0,
        stateBytes: isGeneric ? 0 : bytesOf(text, pascal, file),
        precision: isGeneric ? precisionOf(text.slice(from, all[index].index), name, file) : null,
      };
    });
  if (found.length === 0) throw new Error(`${KERNELS}/${file} exports no kernel.`);
  return found;
}

/** Names in a `const enum`; undefined when there is none of that name. */
function enumOf(text, name) {
  const body = new RegExp(`const enum ${name} \\{([^}]*)\\}`).exec(text)?.[1];
  return body?.replace(/\/\/.*|\/\*[\s\S]*?\*\//g, '').match(/[A-Za-z]\w*/g);
}

function bytesOf(text, pascal, file) {
  const bytes = new RegExp(`const enum ${pascal}State \\{[^}]*\\bbytes = (\\d+)`).exec(text)?.[1];
  if (bytes === undefined)
    throw new Error(`${KERNELS}/${file} doesn't say ${pascal}State.bytes, the size of its memory.`);
  return Number(bytes);
}

function gentleOf(text, pascal, file) {
  const before = text.slice(0, text.indexOf(`export function knots${pascal}(`));
  const tag = /@gentle (\d+(\.\d+)?)/.exec(before.slice(before.lastIndexOf('/**')));
  if (!tag) throw new Error(`${KERNELS}/${file} doesn't state at knots${pascal} up to which amplitude it is @gentle.`);
  return Number(tag[1]);
}

function precisionOf(before, name, file) {
  const tag = [...before.matchAll(/@precision own (\S+), input (\S+), biased ([^\s*]+)/g)].at(-1);
  if (!tag) throw new Error(`${KERNELS}/${file} doesn't state the @precision of ${name}.`);
  return { own: Number(tag[1]), input: Number(tag[2]), biased: Number(tag[3]) };
}

/** AssemblyScript: which function runs which kernel. */
export function dispatchSource(kernels) {
  const curves = kernels.filter(({ isCurve }) => isCurve);
  const circuits = kernels.filter(({ isCurve }) => !isCurve);
  const cornered = kernels.filter(({ hasCorners, hasKnots }) => hasCorners || hasKnots);
  const tabled = kernels.filter(({ hasTable }) => hasTable);
  const modules = [...new Set(kernels.map(({ module }) => module))];
  const imports = modules.map((module) => {
    const names = kernels
      .filter((kernel) => kernel.module === module)
      .flatMap(({ name, pascal, hasCorners, hasKnots, hasTable }) => [
        name,
        `prepare${pascal}`,
        ...(hasCorners ? [`corners${pascal}`] : []),
        ...(hasKnots ? [`knots${pascal}`] : []),
        ...(hasTable ? [`table${pascal}`] : []),
      ]);
    return `import { ${names.join(', ')} } from '${module}';`;
  });
  const cases = (list, call, otherwise) =>
    `  switch (kernel) {\n${list.map((kernel) => `    case ${kernel.number}: ${call(kernel)}`).join('\n')}\n    default: ${otherwise}\n  }`;
  return `// Made by scripts/build-kernels.mjs from worklets/kernels/stages; not to be edited.
import { coefficient } from './lanes';
import { beginTable, cellsOfTable, placeInTable, putCell, shapeByTable, tableOf } from './table';
import { isPlain, moved, normalised } from './working-point';
${imports.join('\n')}

/**
 * Derives a kernel's coefficients from its inputs, both in double precision; behind ${MAX_COEFFICIENTS} of them follow the same in
 * single precision. \`rate\` is the one the kernel runs at, Hz.
 */
export function prepare(kernel: i32, inputs: usize, c: usize, rate: f64): void {
${cases(kernels, ({ pascal, isCurve }) => `prepare${pascal}(inputs, c${isCurve ? '' : ', rate'}); break;`, 'break;')}
  const narrow = c + ${8 * MAX_COEFFICIENTS};
  for (let n: usize = 0; n < ${MAX_COEFFICIENTS}; n++) store<f32>(narrow + (n << 2), <f32>load<f64>(c + (n << 3)));
}

/** Has a curve's kernel tell its corners or knots. */
export function corners(kernel: i32, c: usize): void {
${cases(cornered, ({ pascal, hasCorners }) => `${hasCorners ? 'corners' : 'knots'}${pascal}(c); break;`, 'break;')}
}
${curves
  .map(
    ({ name, pascal, hasTable }) => `
function shape${pascal}(source: usize, target: usize, bytes: usize, c: usize): void {${
      hasTable
        ? `
  const table = tableOf(c);
  if (table != 0) {
    shapeByTable(source, target, bytes, c, table);
    return;
  }`
        : ''
    }
  if (isPlain(c)) {
    for (let i: usize = 0; i < bytes; i += 16) v128.store(target + i, ${name}<v128>(v128.load(source + i), c));
    return;
  }
  const still = ${name}<v128>(coefficient<v128>(c, 0), c);
  for (let i: usize = 0; i < bytes; i += 16) {
    const u = v128.load(source + i);
    v128.store(target + i, normalised<v128>(u, ${name}<v128>(moved<v128>(u, c), c), still, c));
  }
}

function evaluate${pascal}(source: usize, target: usize, bytes: usize, c: usize): void {
  const still = ${name}<f64>(coefficient<f64>(c, 0), c);
  for (let i: usize = 0; i < bytes; i += 8) {
    const u = load<f64>(source + i);
    store<f64>(target + i, normalised<f64>(u, ${name}<f64>(moved<f64>(u, c), c), still, c));
  }
}
`,
  )
  .join('')}
/** target = F(source) − source over \`frames\` frames (an even number) of a curve, in single precision. */
export function shape(kernel: i32, source: usize, target: usize, frames: i32, c: usize): void {
  const bytes = (<usize>frames) << 3;
${cases(curves, ({ pascal }) => `shape${pascal}(source, target, bytes, c); break;`, 'break;')}
}

/** The same in double precision, \`count\` numbers. */
export function evaluate(kernel: i32, source: usize, target: usize, count: i32, c: usize): void {
  const bytes = (<usize>count) << 3;
${cases(curves, ({ pascal }) => `evaluate${pascal}(source, target, bytes, c); break;`, 'break;')}
}

function steepness(kernel: i32, x: f64, c: usize): f64 {
${cases(tabled, ({ name }) => `return ${name}<f64>(x, c) / x;`, 'return 0;')}
}

/** Describes a dear curve's table at \`table\` for its double-precision coefficients \`c\`; how many cells it takes. */
export function describeTable(kernel: i32, c: usize, table: usize): i32 {
  beginTable(table);
${cases(tabled, ({ pascal }) => `table${pascal}(c); break;`, 'return 0;')}
  return cellsOfTable();
}

/** Makes \`count\` cells of the table from cell \`from\` on. */
export function fillTable(kernel: i32, c: usize, table: usize, from: i32, count: i32): void {
  beginTable(table);
  for (let n = from; n < from + count; n++) {
    putCell(
      n,
      steepness(kernel, placeInTable(n, 0), c),
      steepness(kernel, placeInTable(n, 0.25), c),
      steepness(kernel, placeInTable(n, 0.75), c),
      steepness(kernel, placeInTable(n, 1), c),
    );
  }
}

/** Replaces \`frames\` frames at \`buffer\` by what a circuit with memory adds, its coefficients moving from c0 to c1. */
export function runCircuit(kernel: i32, buffer: usize, frames: i32, c0: usize, c1: usize, state: usize): void {
${cases(circuits, ({ name }) => `${name}(buffer, frames, c0, c1, state); break;`, 'break;')}
}
`;
}

/** TypeScript: what the engine knows of every kernel. */
export function tableSource(kernels) {
  const rows = kernels.map(
    ({ name, number, inputs, isCurve, hasCorners, hasKnots, hasTable, gentlePeak, stateBytes, precision }) =>
      `  ${name}: ${JSON.stringify({ number, inputs, isCurve, hasCorners, hasKnots, hasTable, gentlePeak, stateBytes, precision })},`,
  );
  return `/** Made by scripts/build-kernels.mjs from worklets/kernels/stages; not to be edited. */
export const MAX_COEFFICIENTS = ${MAX_COEFFICIENTS};
/** A kernel's coefficients in double precision, in single behind them, and the address of a table. */
export const COEFFICIENT_BYTES = ${12 * MAX_COEFFICIENTS + 16};
/** Most cells of a table, and most bytes that it takes. */
export const MAX_CELLS = ${MAX_CELLS};
export const TABLE_BYTES = ${32 + 16 * MAX_CELLS};

export const kernelTable = {
${rows.join('\n')}
} as const;
`;
}
