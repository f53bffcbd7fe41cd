import { supported as canPickFile } from 'browser-fs-access';
import { decodeFile } from '../../audio/decode.ts';
import { trialSummaries } from '../../blind/trial-summary.ts';
import { fileName } from '../../export/file-name.ts';
import type { SessionDocument } from '../../session/document.ts';
import { CURRENT } from '../../session/document.ts';
import { Notifier } from '../../stores/observable.ts';
import type {
  CheckedImport,
  ExpectedExport,
  ExportSettings,
  ReportFormat,
  TakeHomeEnding,
  TakeHomeStore,
  TakeHomeWork,
} from '../../stores/take-home-store.ts';
import { FIRST_EXPORT_SETTINGS } from '../../stores/take-home-store.ts';
import { WorkerFault } from '../../workers/channel.ts';
import type { JobOptions } from '../../workers/take-home/client.ts';
import { checkedImport, exportedPieces, madeReport } from '../../workers/take-home/client.ts';
import type { ExportJob, ReportJob, ReportTexts } from '../../workers/take-home/protocol.ts';
import type { Notices } from '../notices.ts';
import type { Sounds } from '../sounds.ts';
import { saveFault, unwritten, writtenExport, writtenReport } from './endings.ts';
import { cleanKey, expectedExport, kindsOf, settled } from './expected-export.ts';
import type { KnownFigures } from './expected-overs.ts';
import { canChooseFolder } from './export-folder.ts';
import { NothingChosen, REPORT_TYPES, saveStream, textStream } from './save-stream.ts';
import { STEP_WORDS } from './words.ts';
import { writeExport } from './write-export.ts';

/** The session that is taken home. */
export interface TakeHomeSession {
  readonly document: SessionDocument;
  readonly sounds: Pick<Sounds, 'of'>;
  readonly analysis: KnownFigures;
  readonly notices: Pick<Notices, 'say'>;
}

/** Above this a ZIP that is gathered in memory may not fit. */
const MUCH_BYTES = 1e9;
const IN_MEMORY =
  'This browser gathers a ZIP in memory before it saves it. If that fails, write fewer files at a time, or use a browser that lets you choose where a file goes.';
const NO_REPORT = 'There is no sound in the match region, so there is nothing to describe. Choose another region.';

const WORKERS = { exportedPieces, madeReport, checkedImport };

type Job = (options: JobOptions, document: SessionDocument) => Promise<TakeHomeEnding | null>;

/** Files, report and import check of the session, one at a time and beside everything else. */
export class TakeHome extends Notifier implements TakeHomeStore {
  settings: ExportSettings = FIRST_EXPORT_SETTINGS;
  work: TakeHomeWork | null = null;
  ending: TakeHomeEnding | null = null;
  readonly canChooseFolder = canChooseFolder();

  private running: AbortController | null = null;
  private shown = false;
  private lastCheck: (Omit<CheckedImport, 'outdated'> & { readonly key: string }) | null = null;
  /** The last report, as long as the session is the one it describes. */
  private report: { readonly document: SessionDocument; readonly texts: ReportTexts } | null = null;

  /** @param program name and version, for the files' history */
  constructor(
    private readonly session: TakeHomeSession,
    private readonly program: string,
    private readonly workers: typeof WORKERS = WORKERS,
  ) {
    super();
  }

  get checked(): CheckedImport | null {
    if (!this.lastCheck) return null;
    const { key, ...checked } = this.lastCheck;
    return { ...checked, outdated: key !== cleanKey(this.session.document) };
  }

  choose(settings: Partial<ExportSettings>): void {
    this.settings = settled({ ...this.settings, ...settings });
    // What was written last is not what these settings write.
    if (!this.running) this.ending = null;
    this.notify();
  }

  expected(): ExpectedExport {
    const { document } = this.session;
    const expected = expectedExport(document, this.session.sounds.of(document), this.settings, this.session.analysis);
    if (canPickFile || expected.bytes < MUCH_BYTES) return expected;
    return { ...expected, sentences: [...expected.sentences, IN_MEMORY] };
  }

  export(where: 'zip' | 'folder'): Promise<void> {
    const { format, bits, overs, report, fader } = this.settings;
    const kinds = kindsOf(this.settings);
    const name = `${fileName(this.session.document.name)} export`;
    return this.run('export', async (options, document) => {
      const order = where === 'zip' ? 'one-by-one' : 'together';
      const sound = { format, bits, overs, kinds, fader, report, order } as const;
      const job: ExportJob = { ...this.reportOf(document), ...sound };
      const pieces = () => this.workers.exportedPieces(job, options);
      return writtenExport(await writeExport(where, pieces, name, job.now), bits);
    });
  }

  saveReport(format: ReportFormat): Promise<void> {
    const name = `${fileName(this.session.document.name)} report.${format}`;
    return this.run('report', async (options, document) => {
      const bytes = () => textStream(async () => (await this.reportTexts(document, options))[format]);
      await saveStream(bytes, { fileName: name, type: REPORT_TYPES[format], extension: `.${format}` });
      return writtenReport(name);
    });
  }

  check(file: File): Promise<void> {
    return this.run('check', async (options, document) => {
      const found = { file: file.name, key: cleanKey(document), check: null, fault: null };
      this.lastCheck = null;
      try {
        const { channels, sampleRate } = await decodeFile(file.name, new Uint8Array(await file.arrayBuffer()));
        const job = { document, mixdown: channels, mixdownRate: sampleRate } as const;
        this.lastCheck = { ...found, check: await this.workers.checkedImport(job, options) };
      } catch (fault) {
        this.lastCheck = { ...found, fault: options.signal.aborted ? 'The check was cancelled.' : saveFault(fault) };
      }
      return null;
    });
  }

  cancel(): void {
    this.running?.abort(new DOMException('The user cancelled it', 'AbortError'));
  }

  setShown(shown: boolean): void {
    // What was seen need not be seen again.
    if (this.shown && !shown && !this.running) this.ending = null;
    this.shown = shown;
  }

  /** Does one thing; while it runs, nothing else is begun. */
  private async run(what: TakeHomeWork['what'], job: Job): Promise<void> {
    if (this.running) return;
    const controller = new AbortController();
    const { signal } = controller;
    this.running = controller;
    if (what !== 'check') this.ending = null;
    this.tell({ what, doing: what === 'check' ? 'Reading the file' : 'Waiting for a place', share: null });
    globalThis.addEventListener?.('beforeunload', askBeforeLeaving);
    try {
      const document = this.exactDocument();
      const onProgress: JobOptions['onProgress'] = (step, share) => {
        if (!signal.aborted) this.tell({ what, doing: STEP_WORDS[step], share });
      };
      const ending = await job({ sources: this.session.sounds.of(document), signal, onProgress }, document);
      if (ending) this.end(ending);
    } catch (fault) {
      if (what !== 'check' && !(fault instanceof NothingChosen)) this.end(unwritten(what, fault, signal.aborted));
    } finally {
      globalThis.removeEventListener?.('beforeunload', askBeforeLeaving);
      // Whatever went wrong on this side, the worker ends.
      controller.abort();
      this.running = null;
      this.tell(null);
    }
  }

  /**
   * The document with match gains that are those of the racks as they are: after a move, and for a scene on side B, the
   * stored ones may be others. Without the last one the export computes all.
   */
  private exactDocument(): SessionDocument {
    const { document, analysis } = this.session;
    if (analysis.status === 'idle' && document.sides.b === CURRENT) return document;
    return { ...document, mix: { ...document.mix, outputMatchDb: null } };
  }

  private reportOf(document: SessionDocument): ReportJob {
    const trials = trialSummaries(document.trials);
    const factor = document.exportOversampling;
    return { document, factor, program: this.program, now: new Date(), trials };
  }

  private async reportTexts(document: SessionDocument, options: JobOptions): Promise<ReportTexts> {
    if (this.report?.document === document) return this.report.texts;
    const texts = await this.workers.madeReport(this.reportOf(document), options);
    if (!texts) throw new WorkerFault(NO_REPORT);
    this.report = { document, texts };
    return texts;
  }

  private end(ending: TakeHomeEnding): void {
    this.ending = ending;
    if (this.shown) return;
    const { notices } = this.session;
    notices.say(ending.how === 'failed' ? 'fault' : 'info', ending.text);
    if (ending.how === 'written') for (const text of ending.warnings) notices.say('warning', text);
  }

  private tell(work: TakeHomeWork | null): void {
    this.work = work;
    this.notify();
  }
}

function askBeforeLeaving(event: Event): void {
  event.preventDefault();
}
