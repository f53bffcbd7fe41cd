import { sessionBenchSpec } from '../measure/tone-bench/session-spec.ts';
import { BENCH_SILENT, BENCH_TESTS } from '../measure/tone-bench/spec.ts';
import type { SessionDocument } from '../session/document.ts';
import type { Observable } from '../stores/observable.ts';
import type { BenchStore } from '../stores/tone-bench-store.ts';
import type { AnalysisClient } from '../workers/analysis-client.ts';

export interface BenchedSession extends Observable {
  readonly document: SessionDocument;
  readonly analysis: Pick<AnalysisClient, 'bench'>;
}

/** The tone bench for the racks of this session as they are at the moment of asking. */
export function toneBench(session: BenchedSession): BenchStore {
  return {
    subscribe: (listener) => session.subscribe(listener),
    tests: BENCH_TESTS,
    silent: BENCH_SILENT,
    async run({ rackId, test, values }) {
      const spec = sessionBenchSpec(session.document, rackId, test, values);
      if (!spec) throw new Error('This rack is not in the session any more. Choose another one.');
      return session.analysis.bench(spec);
    },
  };
}
