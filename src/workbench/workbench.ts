import type { TrialRecord } from '../blind/trial-record.ts';
import type { Command } from '../session/commands.ts';
import type { RackId, SessionDocument } from '../session/document.ts';
import { emptySession, MIX_ID, rackIds } from '../session/document.ts';
import { hashesIn } from '../session/hashes.ts';
import type { Steps } from '../session/history.ts';
import { History } from '../session/history.ts';
import { keepTrial } from '../session/kept-trials.ts';
import type { FileStore } from '../stores/file-store.ts';
import { Notifier } from '../stores/observable.ts';
import type { SessionStore } from '../stores/session-store.ts';
import { AnalysisClient } from '../workers/analysis-client.ts';
import { Adding } from './adding.ts';
import { describeCommand } from './describe-command.ts';
import { FileDesk } from './file-desk.ts';
import { Kept } from './kept.ts';
import { KindGuide } from './kind-guide.ts';
import { addBus, addStage, addStages, setToAlignment } from './making.ts';
import type { MatchHost } from './match-gains.ts';
import { MatchGains } from './match-gains.ts';
import { Notices } from './notices.ts';
import type { OpenedSession } from './opening.ts';
import { isUntouched, Opening } from './opening.ts';
import type { PlaybackHost } from './playback.ts';
import { Playback } from './playback.ts';
import { Saving } from './saving.ts';
import { SessionFiles } from './session-files.ts';
import { Sounds } from './sounds.ts';
import type { StartingPointHost } from './starting-points.ts';
import { StartingPoints } from './starting-points.ts';
import { TakeHome } from './take-home/take-home.ts';
import { toneBench } from './tone-bench.ts';
import { trialHost } from './trials/trial-host.ts';
import { trialTools } from './trials/trial-tools.ts';
import { Trials } from './trials/trials.ts';
import { Versions } from './versions.ts';

/**
 * The session as the user works on it: the document and its history, and what is kept in step with it: the sound of its
 * channels, the playback, the analysis and the store. It is the screen's session store, and holds the others.
 */
export class Workbench extends Notifier implements SessionStore {
  readonly notices = new Notices();
  readonly playback = new Playback(playbackHost(this));
  readonly player = this.playback.player;
  readonly live = this.playback.live;
  readonly levels = this.playback.levels;
  private readonly gains: MatchGains = new MatchGains(this.matched());
  readonly analysis: AnalysisClient = new AnalysisClient({
    provisional: (rackId, match) => this.gains.hear(rackId, match),
    matched: (matches) => this.gains.settle(matches),
    fault: (text) => this.notices.say('fault', text),
  });
  readonly sounds = new Sounds((planes, from, to) => this.analysis.resample(planes, from, to));
  private readonly versions = new Versions(this, this.notices);
  private readonly saving = new Saving(this, this.notices);
  private readonly adding = new Adding(this, this.sounds, this.saving, this.versions, this.notices);
  private readonly sessionFiles = new SessionFiles(this.sounds, this.saving, this.notices);
  readonly kept: Kept = new Kept(this.saving, this.sessionFiles, () => this.opening, this.notices);
  private readonly opening = new Opening(this, this.sounds, this.saving, this.sessionFiles, this.notices, (entry) =>
    this.kept.tell(entry),
  );
  readonly files: FileStore = new FileDesk(this, this.adding, this.versions, this.sessionFiles, this.kept);
  readonly startingPoints: StartingPoints = new StartingPoints(
    startingPointHost(this),
    this.saving,
    this.sessionFiles,
    this.notices,
  );
  readonly kindGuide: KindGuide = new KindGuide(
    () => this.document,
    (...what) => this.analysis.kindFigure(...what),
  );
  readonly toneBench = toneBench(this);
  readonly trials: Trials;
  readonly takeHome: TakeHome;
  selectedRack: RackId = MIX_ID;
  /** What undo or redo did, as a sentence, until something else is done. */
  undone: string | null = null;
  private history = new History(emptySession(48000));
  private ids = 0;

  /** @param program name and version, for what is written down */
  constructor(program: string) {
    super();
    this.trials = new Trials(trialHost(this), trialTools(program));
    this.takeHome = new TakeHome(this, program);
  }

  get document(): SessionDocument {
    return this.history.document;
  }
  get steps(): Steps {
    return this.history.steps;
  }
  /** Another object as soon as another session stands in this one's place. */
  get session(): object {
    return this.history;
  }
  /** Channels whose sound is not here, by id. */
  get missing(): ReadonlySet<string> {
    return new Set(this.sounds.missing(this.document).map(({ id }) => id));
  }
  /** False for the demo as it comes and for an empty session. */
  get isWorthKeeping(): boolean {
    return this.canUndo || !isUntouched(this.document);
  }
  get undoAbout(): string | null {
    return this.history.undoAbout;
  }
  get redoAbout(): string | null {
    return this.history.redoAbout;
  }
  get canUndo(): boolean {
    return this.history.canUndo;
  }
  get canRedo(): boolean {
    return this.history.canRedo;
  }

  /** Brings the last session back, or the demo where there is none. */
  async open(): Promise<void> {
    await this.opening.last();
    await this.kept.sayUnreadable();
    this.saving.sweepWhenIdle(() => this.sounds.hashes);
  }

  dispatch(command: Command): void {
    if (this.trials.busy) return;
    if (!this.history.dispatch(command, performance.now(), describeCommand(this.document, command))) return;
    this.undone = null;
    this.follow(movedRack(command));
  }

  undo(): void {
    const about = this.history.undoAbout;
    if (this.trials.busy || !this.history.undo()) return;
    this.undone = about ? `Undid: ${about}` : 'Undid the last step';
    this.follow(null);
  }

  redo(): void {
    const about = this.history.redoAbout;
    if (this.trials.busy || !this.history.redo()) return;
    this.undone = about ? `Did again: ${about}` : 'Did the step again';
    this.follow(null);
  }

  /** Shows, taps and analyses this rack from now on. */
  selectRack(rackId: RackId): void {
    this.selectedRack = rackId;
    this.analysis.select(rackId);
    this.playback.watch(rackId);
    this.notify();
  }

  addStage(rackId: RackId, kindId: string): string {
    return addStage(this, rackId, kindId);
  }

  addStages(rackIds: readonly RackId[], kindId: string): string[] {
    return addStages(this, rackIds, kindId);
  }

  addBus(channelIds: readonly string[]): string | null {
    return addBus(this, channelIds);
  }

  setToAlignment(rackIds: readonly RackId[]): Promise<void> {
    return setToAlignment(this, rackIds);
  }

  /** Brings the user's own audio files in, as channels of this session. */
  addFiles(files: readonly File[]): Promise<void> {
    return this.adding.add(files);
  }

  /** Saves the session as a file: JSON alone, or a ZIP with its sound in it. False where no file came of it. */
  saveSession(withAudio: boolean): Promise<boolean> {
    return this.sessionFiles.save(this.document, withAudio);
  }

  /** Opens a session file in place of this session; what can't be opened is named and nothing is lost. */
  openSession(file: File): Promise<void> {
    return this.opening.file(file);
  }

  startNewSession(): void {
    this.opening.fresh();
  }

  openDemo(): Promise<void> {
    return this.opening.demo();
  }

  /** Resolves when the session may change: not while another one is being opened or a blind trial is heard. */
  async whenFree(): Promise<void> {
    await this.opening.done();
    while (this.trials.busy) {
      await new Promise<void>((resolve) => {
        const release = this.trials.subscribe(() => {
          release();
          resolve();
        });
      });
    }
  }

  /** An empty session takes the rate of the first sound that comes into it. */
  begin(sampleRate: number): void {
    this.history.adopt((draft) => {
      draft.sampleRate = sampleRate;
    });
    this.reload();
  }

  /** The sound of some channels came or went, without a change of the document. */
  soundsChanged(): void {
    this.follow(null);
  }

  /** Another session takes this one's place; when that throws, this one stands as before. */
  replace({ document, known, steps = { past: [], future: [] } }: OpenedSession): void {
    const { history, selectedRack } = this;
    const sound = this.sounds.contents;
    try {
      this.history = History.restored(document, steps);
      // What a step of undo brings back is read when it does.
      this.sounds.replace({ known, released: hashesIn(this.history.steps).filter((sha256) => !known.has(sha256)) });
      if (!rackIds(document).includes(this.selectedRack)) this.selectedRack = document.channels[0]?.id ?? MIX_ID;
      this.reload();
    } catch (fault) {
      this.history = history;
      this.sounds.replace(sound);
      this.selectedRack = selectedRack;
      this.reload();
      throw fault;
    }
    this.versions.forget();
    this.undone = null;
    this.selectRack(this.selectedRack);
  }

  /** This session is played and measured from its start. */
  reload(): void {
    this.notices.withdrawUndo();
    const planes = this.sounds.of(this.document);
    this.player.load(this.document, planes);
    this.analysis.load(this.document, planes);
  }

  /** Player, analysis, store and screen follow the document. */
  private follow(moved: RackId | null): void {
    const { document } = this;
    this.notices.withdrawUndo();
    if (!rackIds(document).includes(this.selectedRack)) this.selectRack(document.channels[0]?.id ?? MIX_ID);
    const planes = this.sounds.of(document);
    this.player.update(document, planes);
    this.analysis.update(document, planes, moved);
    this.saving.save();
    this.notify();
    void this.recover();
  }

  /** Sound that was let go to make room, and that undo asks for again, comes from the store. */
  private async recover(): Promise<void> {
    const { document, session } = this;
    const lost = this.sounds.missing(document).filter(({ audio }) => this.sounds.takeReleased(audio?.sha256));
    if (lost.length === 0) return;
    const { known, faults } = await this.sounds.gather({ ...document, channels: lost }, ({ sha256 }) =>
      this.saving.loadAudio(sha256),
    );
    for (const fault of faults) this.notices.say('fault', fault);
    if (this.session !== session) return;
    for (const [sha256, planes] of known) this.sounds.put(sha256, planes);
    this.soundsChanged();
  }

  /** A change that is no step of undo and moves no figure: computed gains, a trial's record. */
  private adopt(change: (draft: SessionDocument) => void): void {
    if (!this.history.adopt(change)) return;
    this.analysis.adopt(this.document);
    this.saving.save();
    this.notify();
  }

  /** Keeps what was heard blind with the session; false where there is no room. */
  keepTrial(record: TrialRecord): boolean {
    let kept = false;
    this.adopt((draft) => {
      kept = keepTrial(draft, { id: this.newId('trial'), record });
    });
    return kept;
  }

  private matched(): MatchHost {
    const workbench = this;
    return {
      get document() {
        return workbench.document;
      },
      player: this.player,
      adopt: (change) => this.adopt(change),
      play: () => this.player.update(this.document, this.sounds.of(this.document)),
    };
  }

  /** An id that nothing in the session has. */
  newId(what: string): string {
    this.ids++;
    return `${what}-${Date.now().toString(36)}-${this.ids}`;
  }
}

/** The rack whose match a command moves, where it is one rack only. */
function movedRack(command: Command): RackId | null {
  switch (command.type) {
    case 'set-parameter':
    case 'add-stage':
    case 'remove-stage':
    case 'move-stage':
    case 'set-stage-on':
      return command.rackId;
    default:
      return null;
  }
}

function playbackHost(workbench: Workbench): PlaybackHost {
  return {
    get document() {
      return workbench.document;
    },
    mayPlay: () => !workbench.trials.busy,
    fault: (text) => workbench.notices.say('fault', text),
  };
}

function startingPointHost(workbench: Workbench): StartingPointHost {
  return {
    get document() {
      return workbench.document;
    },
    dispatch: (command) => workbench.dispatch(command),
    profile: (rackId, stages) => workbench.analysis.profile(workbench.document, rackId, stages),
  };
}
