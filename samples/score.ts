/*
 * "The Ninth Bollard", a tune for the Harbour Hall sextet, made for this demo: eight bars of nine eighths (2+2+2+3) in
 * D Dorian, three eighths a second, so that one time round lasts 24 s. Each line below is one bar; a note is its name,
 * its length in eighths and, after a mark, its strength in tenths (7 where none is given). A dot is a rest. "~" in front
 * is a quick note from above before the beat.
 */

/** An eighth lasts a third of a second. */
export const EIGHTH = 1 / 3;
export const EIGHTHS_A_BAR = 9;
const BARS = 8;

export interface Note {
  /** Seconds from the loop's start. */
  start: number;
  /** Seconds. */
  length: number;
  /** MIDI number: 69 is the A of 440 Hz. */
  pitch: number;
  /** 0 to 1. */
  strength: number;
  grace: boolean;
}

export const MELODICA = `
  A4:2 D5:1 E5:1!8 ~F5:2!8 E5:1 D5:1 C5:1!6
  D5:1 C5:1 ~A4:2!8 C5:1 A4:1 G4:1!6 A4:1.6 .:0.4
  A4:2 D5:1 E5:1!8 F5:2!8 ~G5:1!9 F5:1 E5:1
  F5:1!8 E5:1 D5:1 C5:1 ~E5:2!9 D5:2.5!8 .:0.5
  A5:1.7!9 .:0.3 G5:1!9 F5:1 ~G5:2!10 F5:1 E5:1 D5:1
  F5:1!9 E5:1 C5:2!8 D5:1 E5:1 C5:2.2!8 .:0.8
  G4:1!6 A4:1 B4:1!7 C5:1 ~D5:2!8 E5:1 F5:1 E5:0.5 F5:0.5
  D5:1!8 C5:1 A4:1 C5:1 ~B4:1 G4:1!6 A4:1.8!6 .:1.2`;

export const BASS_CLARINET = `
  D2:3.8!7 .:0.2 F2:1.8 .:0.2 G2:1 F2:1 E2:1!6
  A2:3.7!7 .:0.3 G2:1.8 .:0.2 E2:1 D2:1!6 C2:0.8!6 .:0.2
  D2:3.8!7 .:0.2 A2:1.8!8 .:0.2 C3:1!8 A2:1 G2:1
  C2:2!7 E2:2!8 D2:4.2!9 .:0.8
  C3:2!9 A2:1!8 C3:1 D3:2!10 C3:1!9 A2:1 F2:0.8 .:0.2
  G2:2!8 E2:1 G2:1 C3:2!9 B2:1!8 C3:1 G2:0.7 .:0.3
  G2:3.8!7 .:0.2 B2:1.8!8 .:0.2 D3:2.6!8 .:0.4
  C3:2!8 A2:2!7 E2:2!7 A2:2!6 .:1`;

export const UPRIGHT_BASS = `
  D2:3!9 D2:1!5 A1:2!7 D2:2!8 C2:1!6
  A1:3!9 A1:1!5 C2:2!7 E2:2!8 C2:1!6
  D2:3!9 D2:1!5 A1:2!7 F2:1!8 E2:1!7 C2:1!6
  C2:2!9 G1:2!7 D2:2!9 A1:2!7 D2:1!4
  F1:2!10 C2:2!8 F2:2!9 A1:2!8 G1:1!7
  C2:2!10 G1:2!8 E2:2!8 C2:1!8 B1:1!7 A1:1!7
  G1:3!9 G1:1!5 D2:2!8 B1:2!8 D2:1!6
  A1:2!9 E2:2!8 A1:2!8 A1:1!7 B1:1!6 C2:1!7`;

/** The accordion's chords, and how each bar is played: "stab" off the beat, or "held" with a swell. */
export const ACCORDION: { chord: string; eighths: number; way: 'stab' | 'held'; strength: number }[] = [
  { chord: 'D4 F4 A4', eighths: 9, way: 'stab', strength: 0.6 },
  { chord: 'C4 E4 A4', eighths: 9, way: 'stab', strength: 0.62 },
  { chord: 'D4 F4 A4', eighths: 9, way: 'stab', strength: 0.68 },
  { chord: 'C4 E4 G4', eighths: 4, way: 'held', strength: 0.7 },
  { chord: 'D4 F4 A4', eighths: 5, way: 'held', strength: 0.8 },
  { chord: 'C4 F4 A4', eighths: 9, way: 'held', strength: 0.88 },
  { chord: 'C4 E4 G4', eighths: 9, way: 'held', strength: 0.82 },
  { chord: 'B3 D4 G4', eighths: 9, way: 'stab', strength: 0.7 },
  { chord: 'A3 C4 E4', eighths: 9, way: 'held', strength: 0.62 },
];

/**
 * The frame drum, one character a sixteenth, 18 to a bar: D low open stroke, k rim, K accented rim, s slap,
 * t light finger, r a finger of a roll, "." nothing.
 */
export const FRAME_DRUM = [
  'D..tk.t.D..tK.ttkt',
  'D..tk.t.D.t.K.t.kt',
  'D..tk.ttD..tK.ttkt',
  'D.t.s.ttD..tK.rrrr',
  'D..tK.ttD.t.s.ttkt',
  'D.t.K.ttD..ts.t.kt',
  'D..tk.t.D..tk.ttkt',
  'D..tK.ttD.D.srrrrr',
];

/** How hard the shaker goes in each bar. */
export const SHAKER_STRENGTH = [0.62, 0.66, 0.72, 0.8, 0.92, 0.88, 0.76, 0.7];
/** Accents of its eighteen sixteenths: the groups 2+2+2+3. */
export const SHAKER_ACCENTS = [10, 3, 6, 4, 9, 3, 6, 4, 9, 3, 6, 4, 10, 3, 6, 3, 7, 5];

const STEPS: Record<string, number> = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 };

/** The MIDI number of a name such as "B4". */
export function pitchOf(name: string): number {
  return STEPS[name[0]] + 12 * (Number(name.slice(1)) + 1);
}

/** Frequency in Hz, equally tempered from A4 = 440 Hz. */
export function frequencyOf(pitch: number): number {
  return 440 * 2 ** ((pitch - 69) / 12);
}

/** Reads a part as written above. Throws if a bar doesn't add up to nine eighths. */
export function notesOf(part: string): Note[] {
  const notes: Note[] = [];
  const bars = part.trim().split('\n');
  if (bars.length !== BARS) throw new Error(`${bars.length} bars instead of ${BARS}`);
  bars.forEach((bar, index) => {
    let at = 0;
    for (const word of bar.trim().split(/\s+/)) {
      const [name, rest] = word.split(':');
      const [length, strength = '7'] = rest.split('!');
      const start = (index * EIGHTHS_A_BAR + at) * EIGHTH;
      if (name !== '.') {
        notes.push({
          start,
          length: Number(length) * EIGHTH,
          pitch: pitchOf(name.replace('~', '')),
          strength: Number(strength) / 10,
          grace: name.startsWith('~'),
        });
      }
      at += Number(length);
    }
    // Lengths such as 0.8 don't add up to the last digit.
    if (Math.abs(at - EIGHTHS_A_BAR) > 1e-9) throw new Error(`Bar ${index + 1} has ${at} eighths: ${bar}`);
  });
  return notes;
}
