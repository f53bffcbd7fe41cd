/** The same samples, bit for bit. A general comparison of long arrays takes seconds each. */
export function alike(one: readonly Float32Array[], other: readonly Float32Array[]): boolean {
  const bytes = (plane: Float32Array) => Buffer.from(plane.buffer, plane.byteOffset, plane.byteLength);
  return one.length === other.length && one.every((plane, i) => bytes(plane).equals(bytes(other[i])));
}
