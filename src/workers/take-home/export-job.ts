import { exportSides } from '../../export/export-document.ts';
import type { ExportPlan } from '../../export/export-plan.ts';
import { planExport } from '../../export/export-plan.ts';
import type { ExportedFile } from '../../export/export-stream.ts';
import { exportPieces, fileBytes, measuredFiles } from '../../export/export-stream.ts';
import { matchSession, needsGains } from '../../export/match-session.ts';
import { isMix, lowered, needsPairHeadroom, pairHeadroomDb } from '../../export/pair-headroom.ts';
import type { PlannedFile } from '../../export/planned-files.ts';
import type { BroadcastLoudness } from '../../files/audio-data.ts';
import { rests } from '../../render/run-steps.ts';
import type { WrittenFile } from '../../stores/take-home-store.ts';
import { MIXES, passCost } from './pass-cost.ts';
import type { ExportJob, ExportOutcome, ReportTexts } from './protocol.ts';
import { reportJob } from './report-job.ts';
import type { ExportHost } from './take-home-host.ts';

/** What computing all gains, and the report, take against one pass over the whole session, about. */
const MATCH_COST = 1;
const REPORT_COST = 1.6;

/** Matches where need be, then renders and sends every wanted file, and the report at the end. */
export async function exportJob(job: ExportJob, host: ExportHost): Promise<ExportOutcome> {
  const { document, factor, format, bits, overs, kinds, fader, program, now } = job;
  const { sources } = host;
  const has = (...some: readonly string[]) => kinds.some((kind) => some.includes(kind));
  const planOf = (sides = exportSides(document), tail = true) =>
    planExport({
      sides,
      sources,
      factor,
      format,
      bits,
      overs,
      pair: has('clean', 'coloured'),
      stems: has('channel', 'bus'),
      fader,
      tail,
      program,
      now,
    });
  const wantedOf = (plan: ExportPlan) => plan.files.filter(({ kind }) => kinds.includes(kind));
  const estimate = planOf(undefined, false);
  const shares = sharesOf(job, estimate, wantedOf(estimate));
  const { sides } = await matchSession(
    { document, sources },
    { factor, onProgress: (share) => host.progress('matching', shares.matching(share)) },
  );
  const asIs = planOf(sides);
  const measuring = needsPairHeadroom(asIs) ? 'peaks' : 'rendering';
  host.progress(measuring, shares.measuring(0));
  const { plan, loudness } = await measured(asIs, wantedOf(asIs), job.order, (share) =>
    host.progress(measuring, shares.measuring(share)),
  );
  host.progress('rendering', shares.rendering(0));
  const written = await sendSound(plan, wantedOf(plan), loudness, host, (share) =>
    host.progress('rendering', shares.rendering(share)),
  );
  const files = written.map(({ file: { name, kind, channels }, overs: over, truePeakDbtp }) => ({
    name,
    kind,
    channels,
    overs: over,
    truePeakDbtp,
  }));
  const exported = { format, bits, fader, files };
  const texts = job.report ? await reportJob(job, host, shares.report, plan.headroomDb, exported) : null;
  const reports = texts ? await sendReport(texts, host) : [];
  return {
    files: [...written.map(describe), ...reports],
    frames: plan.frames,
    tailFrames: plan.tailFrames,
    headroomDb: plan.headroomDb,
    reported: !job.report || texts !== null,
  };
}

/**
 * A cancel ends the worker, and the page's answers come while a full sender waits: only a look at whether it still lives
 * must be answered now and then. A browser takes some ms for each.
 */
const rest = rests({ stretchMs: 500 });
const pause = async () => {
  await rest();
};

/** By their names; null where files can be gone back to. */
type KnownLoudness = ReadonlyMap<string, BroadcastLoudness> | null;

/**
 * What must be known before the first byte, in one pass: the peaks of mixes that may have to be lowered, and the loudness
 * that the files of a ZIP state, which can't go back. Mixes that are lowered are measured once more.
 */
async function measured(
  asIs: ExportPlan,
  wanted: readonly PlannedFile[],
  order: ExportJob['order'],
  onProgress: (share: number) => void,
): Promise<{ readonly plan: ExportPlan; readonly loudness: KnownLoudness }> {
  const files = measuredFirst(asIs, wanted, order);
  const isTogether = order === 'together';
  const found = files.length > 0 ? await measuredFiles(asIs, { files, peaksOnly: isTogether, pause, onProgress }) : [];
  const plan = lowered(asIs, pairHeadroomDb(asIs, found));
  if (isTogether) return { plan, loudness: null };
  const mixes = plan === asIs ? [] : wanted.filter(isMix);
  const again = mixes.length > 0 ? await measuredFiles(plan, { files: mixes, pause }) : [];
  return { plan, loudness: new Map([...found, ...again].map(({ file, loudness }) => [file.name, loudness])) };
}

function measuredFirst(
  plan: ExportPlan,
  wanted: readonly PlannedFile[],
  order: ExportJob['order'],
): readonly PlannedFile[] {
  const isForPeaks = needsPairHeadroom(plan);
  return plan.files.filter((file) => (isForPeaks && isMix(file)) || (order === 'one-by-one' && wanted.includes(file)));
}

async function sendSound(
  plan: ExportPlan,
  files: readonly PlannedFile[],
  loudness: KnownLoudness,
  { bytes: sender }: ExportHost,
  onProgress: (share: number) => void,
): Promise<ExportedFile[]> {
  if (files.length === 0) return [];
  if (loudness) {
    const costs = files.map(({ tap }) => passCost(plan, [tap]));
    let done = 0;
    const total = costs.reduce((sum, cost) => sum + cost, 0);
    const written: ExportedFile[] = [];
    for (const [index, file] of files.entries()) {
      const tell = (share: number) => onProgress((done + share * costs[index]) / total);
      const onDone = (one: ExportedFile) => written.push(one);
      for await (const bytes of fileBytes(plan, file, { pause, onProgress: tell, onDone, loudness })) {
        await sender.append(file.name, bytes);
      }
      await sender.flush(file.name, true);
      done += costs[index];
    }
    return written;
  }
  const pieces = exportPieces(plan, { files, pause, onProgress });
  for (;;) {
    const { done, value } = await pieces.next();
    if (done) {
      for (const { name } of files) await sender.flush(name, false);
      return value;
    }
    const { file, bytes, at } = value;
    if (at === undefined) await sender.append(file.name, bytes);
    else await sender.patch(file.name, bytes, at);
  }
}

async function sendReport(texts: ReportTexts, { bytes: sender }: ExportHost): Promise<WrittenFile[]> {
  const written: WrittenFile[] = [];
  for (const [ending, text] of Object.entries(texts)) {
    const name = `report.${ending}`;
    const bytes = new TextEncoder().encode(text);
    written.push({ name, kind: 'report', channels: null, bytes: bytes.length, overs: 0, truePeakDbtp: null });
    await sender.append(name, bytes);
    await sender.flush(name, true);
  }
  return written;
}

function describe({ file, bytes, overs, truePeakDbtp }: ExportedFile): WrittenFile {
  const { name, kind, channels } = file;
  return { name, kind, channels, bytes, overs, truePeakDbtp };
}

/** Shares of the parts as shares of the whole, by what each costs. */
function sharesOf({ document, report, order }: ExportJob, plan: ExportPlan, files: readonly PlannedFile[]) {
  const whole = passCost(plan, MIXES);
  const taps = files.map(({ tap }) => tap);
  const matching = needsGains(document, plan.options.sides) ? MATCH_COST * whole : 0;
  const first = measuredFirst(plan, files, order).map(({ tap }) => tap);
  const measuring = passCost(plan, first);
  const rendering =
    order === 'together' ? passCost(plan, taps) : taps.reduce((sum, tap) => sum + passCost(plan, [tap]), 0);
  const reporting = report ? REPORT_COST * whole : 0;
  const total = Math.max(1e-9, matching + measuring + rendering + reporting);
  const part = (before: number, size: number) => (share: number) => Math.min(1, (before + share * size) / total);
  return {
    matching: part(0, matching),
    measuring: part(matching, measuring),
    rendering: part(matching + measuring, rendering),
    report: part(matching + measuring + rendering, reporting),
  };
}
