import type { RackId, SessionDocument } from '../../session/document.ts';
import { findRack } from '../../session/document.ts';
import { rackConfig } from '../engine-config.ts';
import type { BenchSpec, BenchTestId } from './spec.ts';

/** A measurement of one rack as it is set in a session, its match gain included; null when there is no such rack. */
export function sessionBenchSpec(
  document: SessionDocument,
  rackId: RackId,
  test: BenchTestId,
  values: BenchSpec['values'],
  oversampling: 4 | 8 = 4,
): BenchSpec | null {
  const rack = findRack(document, rackId);
  if (!rack) return null;
  const { sampleRate, alignmentDbfs, matching } = document;
  return { test, rack: rackConfig(rack, matching), sampleRate, oversampling, alignmentDbfs, values };
}
