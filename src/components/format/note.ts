const NAMES = ['C', 'C♯', 'D', 'D♯', 'E', 'F', 'F♯', 'G', 'G♯', 'A', 'A♯', 'B'];
/** A4, the tuning's reference. */
const A4_HZ = 440;
/** Semitones from C0 to A4. */
const A4_SEMITONES = 57;
/** Below C0 a frequency is felt rather than heard as a note. */
const LOWEST_SEMITONES = 0;

export interface Note {
  /** "A4", "C♯2": equal temperament, A4 = 440 Hz. */
  readonly name: string;
  /** How far the frequency is from that note: −50 up to 50. */
  readonly cents: number;
}

/** The nearest note of a frequency; null below C0 (less half a semitone) and for what is no frequency. */
export function noteOf(hz: number): Note | null {
  if (!(hz > 0) || !Number.isFinite(hz)) return null;
  const exact = A4_SEMITONES + 12 * Math.log2(hz / A4_HZ);
  const nearest = Math.round(exact);
  if (nearest < LOWEST_SEMITONES) return null;
  return { name: `${NAMES[nearest % 12]}${Math.floor(nearest / 12)}`, cents: Math.round(100 * (exact - nearest)) };
}

/** "B5 +16 ct"; an empty text where there is no note. */
export function noteText(hz: number): string {
  const note = noteOf(hz);
  if (!note) return '';
  const { name, cents } = note;
  return cents === 0 ? name : `${name} ${cents < 0 ? '−' : '+'}${Math.abs(cents)} ct`;
}
