/** Prints the alias of a rack of three stages at 10 % THD_F for every curve. Run: node scripts/run-ts.mjs tests/benchmarks/alias.ts */
import { chainAlias } from '../support/chain-alias.ts';

/** Most alias in dBc that the project allows at 4×; see tests/engine/alias.test.ts. */
const CURVES: readonly [string, string, Record<string, number | string>, number][] = [
  ['tanh', 'soft-clip', {}, -120],
  ['arctangent', 'soft-clip', { curve: 'arctangent' }, -120],
  ['cubic', 'soft-clip', { curve: 'cubic' }, -120],
  ...[1, 1.2, 1.5, 1.9, 2].map((knee) => algebraic(knee, -120)),
  ...[3, 6, 20, 60].map((knee) => algebraic(knee, -90)),
  ['hard clip', 'soft-clip', { curve: 'algebraic', knee: 100 }, -80],
  ['tanh, bias 30 %', 'soft-clip', { bias: 30 }, -120],
  ['harmonic set, H3', 'harmonic-set', { h2: -100, h3: -30 }, -90],
  ['diode pair', 'diode-pair', {}, -90],
];

function algebraic(knee: number, limit: number): [string, string, Record<string, number | string>, number] {
  return [`algebraic, p = ${knee}`, 'soft-clip', { curve: 'algebraic', knee }, limit];
}

const TONES = [1245, 4987, 9970];

console.log('\nAlias below 20 kHz, dBc: three equal stages in one rack, 10 % THD_F in all at 1 kHz, 48 kHz');
console.log('(what is firm or driven hard runs at 8x in either case)\n');
console.log(
  `  ${''.padEnd(20)}${['4x', '8x'].map((f) => TONES.map((t) => `${t} ${f}`.padStart(10)).join('')).join('  ')}     limit at 4x`,
);
let missed = 0;
for (const [name, kind, params, limit] of CURVES) {
  const figures = [4, 8].map((factor) =>
    TONES.map((tone) => chainAlias(kind, params, tone, { factor: factor as 4 | 8, size: 65536 })),
  );
  const worst = Math.max(...figures[0]);
  if (worst > limit) missed++;
  const text = figures.map((row) => row.map((dbc) => dbc.toFixed(1).padStart(10)).join('')).join('  ');
  console.log(`  ${name.padEnd(20)}${text}     ${limit} ${worst > limit ? 'MISSED' : 'kept'}`);
}
process.exitCode = missed > 0 ? 1 : 0;
