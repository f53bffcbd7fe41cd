/**
 * Koren's triode (1996) written apart from the kernels, for tests: plate current in mA, MU 100, EX 1.4, KG1 1060, KP 600,
 * KVB 300 (docs/reference-values.md, section 6).
 */
export function koren(gridVolts: number, plateVolts: number): number {
  const x = 600 * (0.01 + gridVolts / Math.sqrt(300 + plateVolts * plateVolts));
  const e1 = (plateVolts / 600) * (x > 40 ? x : Math.log1p(Math.exp(x)));
  return e1 > 0 ? (1000 * 2 * e1 ** 1.4) / 1060 : 0;
}
