/** A fault as a sentence: those of our own carry one. */
export function sentence(fault: unknown): string {
  return fault instanceof Error ? fault.message : String(fault);
}
