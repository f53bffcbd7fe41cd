import { rackConfig } from '../../render/engine-config.ts';
import type { RackId, SessionDocument } from '../../session/document.ts';
import { findRack } from '../../session/document.ts';
import { drivenRack } from '../../session/drive.ts';
import type { BenchSpec, BenchTestId } from './spec.ts';

/** A measurement of one rack as it is heard in a session, all drives and its match gain included; null when there is no such rack. */
export function sessionBenchSpec(
  document: SessionDocument,
  rackId: RackId,
  test: BenchTestId,
  values: BenchSpec['values'],
  oversampling: 4 | 8 = 4,
): BenchSpec | null {
  const rack = findRack(document, rackId);
  if (!rack) return null;
  const { sampleRate, alignmentDbfs, matching, allDrivesDb } = document;
  return {
    test,
    rack: rackConfig(drivenRack(rack, allDrivesDb), matching),
    sampleRate,
    oversampling,
    alignmentDbfs,
    values,
  };
}
