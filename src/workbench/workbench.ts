import { directoryOpen } from 'browser-fs-access';
import { AnalysisClient } from '../analysis/analysis-client.ts';
import { rackConfig } from '../analysis/engine-config.ts';
import type { MatchFigures } from '../analysis/figures.ts';
import type { SessionMatches } from '../analysis/session-analysis.ts';
import { Live } from '../audio/live.ts';
import type { RackLevels } from '../audio/live-levels.ts';
import { LiveLevels } from '../audio/live-levels.ts';
import { Player } from '../audio/player.ts';
import { MAX_BUSES } from '../engine/limits.ts';
import { MAX_STAGES } from '../engine/oversampling.ts';
import { defaultValues } from '../engine/parameters.ts';
import { findStageKind } from '../engine/stages/catalogue.ts';
import type { TrialRecord } from '../listening/trial-record.ts';
import type { Command } from '../session/commands.ts';
import type { RackId, SessionDocument } from '../session/document.ts';
import { CURRENT, emptySession, findRack, MIX_ID, newBus, newStage, rackIds } from '../session/document.ts';
import { History } from '../session/history.ts';
import { keepTrial } from '../session/kept-trials.ts';
import { Adding } from './adding.ts';
import { demoAudio, demoSession } from './demo.ts';
import { Notices } from './notices.ts';
import { Notifier } from './observable.ts';
import { Saving } from './saving.ts';
import { sentence } from './sentence.ts';
import { SessionFiles } from './session-files.ts';
import type { Planes } from './sounds.ts';
import { Sounds } from './sounds.ts';
import { TakeHome } from './take-home.ts';
import { trialHost } from './trials/trial-host.ts';
import { trialTools } from './trials/trial-tools.ts';
import { Trials } from './trials/trials.ts';
import { Versions } from './versions.ts';

/**
 * The session as the user works on it: the document and its history, the sound of its channels, the player, the
 * analysis and the store, kept in step with one another. The screen sees it through the store interfaces.
 */
export class Workbench extends Notifier {
  readonly notices = new Notices();
  readonly playerChanges = new Notifier();
  readonly analysisChanges = new Notifier();
  /** Ten times a second while sound runs. */
  readonly levelChanges = new Notifier();
  readonly levels = new LiveLevels();
  /** The analyser's settings changed. */
  readonly liveChanges = new Notifier();
  readonly live = new Live((buffer) => this.player.recycle(buffer));
  readonly player: Player;
  readonly analysis: AnalysisClient;
  selectedRack: RackId = MIX_ID;
  /** What the loudspeakers got, for the tests. */
  recorded: ((planes: readonly Float32Array[]) => void) | null = null;

  readonly sounds: Sounds;
  readonly adding: Adding;
  readonly versions: Versions;
  readonly trials: Trials;
  readonly takeHome: TakeHome;
  private readonly saving = new Saving(() => this.document, this.notices);
  private readonly files: SessionFiles;
  private history = new History(emptySession(48000));
  private ids = 0;

  /** @param program name and version, for what is written down */
  constructor(program: string) {
    super();
    this.player = new Player({
      changed: () => this.playerChanges.notify(),
      tap: (buffer) => this.live.push(buffer, this.document.sampleRate),
      levels: (buffer) => {
        this.levels.take(buffer, this.document.sampleRate);
        this.player.recycle(buffer);
        this.levelChanges.notify();
      },
      started: () => {
        this.levels.reset();
        this.levelChanges.notify();
      },
      recorded: (planes) => this.recorded?.(planes.map((plane) => plane.slice())),
      fault: (text) => this.notices.say('fault', text),
    });
    this.analysis = new AnalysisClient({
      changed: () => this.analysisChanges.notify(),
      provisional: (rackId, match) => this.hearMatch(rackId, match),
      matched: (matches) => this.adoptGains(matches),
      fault: (text) => this.notices.say('fault', text),
    });
    this.sounds = new Sounds((planes, from, to) => this.analysis.resample(planes, from, to));
    this.files = new SessionFiles(this.sounds, this.saving, this.notices);
    this.versions = new Versions(this, this.notices);
    this.adding = new Adding(this, this.sounds, this.saving, this.versions, this.notices);
    this.trials = new Trials(trialHost(this), trialTools(program));
    this.takeHome = new TakeHome(this, program);
  }

  get document(): SessionDocument {
    return this.history.document;
  }
  /** Another object as soon as another session stands in this one's place. */
  get session(): object {
    return this.history;
  }
  /** Channels whose sound is not here, by id. */
  get missing(): ReadonlySet<string> {
    return new Set(this.sounds.missing(this.document).map(({ id }) => id));
  }
  get canUndo(): boolean {
    return this.history.canUndo;
  }
  get canRedo(): boolean {
    return this.history.canRedo;
  }

  /** Brings the last session back, or the demo where there is none. */
  async open(): Promise<void> {
    await this.openLast();
    this.saving.sweepWhenIdle(() => this.sounds.hashes);
  }

  private async openLast(): Promise<void> {
    this.player.setLoading();
    try {
      const stored = await this.saving.open();
      if (stored) {
        const { known, faults } = await this.sounds.gather(stored, ({ sha256 }) => this.saving.loadAudio(sha256));
        this.replace(stored, known);
        for (const fault of faults) this.notices.say('fault', fault);
        this.sayMissing('The browser no longer has');
        return;
      }
    } catch (fault) {
      this.notices.say('warning', sentence(fault));
    }
    await this.openDemo();
  }

  /** Live levels at the selected rack; null until sound has run. */
  get selectedLevels(): RackLevels | null {
    const { point, index } = this.player.pointOf(this.selectedRack);
    return this.levels.of(this.selectedRack, point, index);
  }

  dispatch(command: Command): void {
    if (this.trials.busy || !this.history.dispatch(command, performance.now())) return;
    this.follow(movedRack(command));
  }

  undo(): void {
    if (!this.trials.busy && this.history.undo()) this.follow(null);
  }

  redo(): void {
    if (!this.trials.busy && this.history.redo()) this.follow(null);
  }

  selectRack(rackId: RackId): void {
    this.selectedRack = rackId;
    this.live.reset(rackId);
    this.player.setTap(rackId);
    this.analysis.select(rackId);
    this.notify();
  }

  addStage(rackId: RackId, kindId: string): string {
    const kind = findStageKind(kindId);
    const rack = findRack(this.document, rackId);
    const id = this.newId('stage');
    if (!kind || !rack) return id;
    if (rack.stages.length >= MAX_STAGES) {
      this.notices.say('info', `A rack holds ${MAX_STAGES} stages. Remove one to add another.`);
      return id;
    }
    this.dispatch({
      type: 'add-stage',
      rackId,
      index: rack.stages.length,
      stage: newStage(id, kindId, defaultValues(kind.parameters)),
    });
    return id;
  }

  /** A new bus, into which `channelId` plays from now on; returns its id, or null when there is no room. */
  addBus(channelId: string | null): string | null {
    const { buses } = this.document;
    if (buses.length >= MAX_BUSES) {
      this.notices.say('info', `A session holds ${MAX_BUSES} buses. Remove one to add another.`);
      return null;
    }
    const id = this.newId('bus');
    this.dispatch({ type: 'add-bus', bus: newBus(id, `Bus ${buses.length + 1}`) });
    if (channelId !== null) this.dispatch({ type: 'set-channel', channelId, busId: id });
    return id;
  }

  /** Puts the stages of these racks at the alignment level, as one step of undo. */
  async setToAlignment(rackIds: readonly RackId[]): Promise<void> {
    const trims = await this.analysis.alignment(this.document, rackIds);
    const values = rackIds.flatMap((rackId) =>
      (trims[rackId] ?? []).flatMap(({ stageId, trimIn, trimOut }) => [
        { rackId, stageId, parameterId: 'trimIn', value: trimIn },
        { rackId, stageId, parameterId: 'trimOut', value: trimOut },
      ]),
    );
    const silent = rackIds.filter(
      (rackId) => trims[rackId] === null && (findRack(this.document, rackId)?.stages.length ?? 0) > 0,
    );
    if (silent.length > 0) {
      this.notices.say('info', 'Where nothing is heard in the match region, trims stay as they are.');
    }
    if (values.length > 0) this.dispatch({ type: 'set-many', values });
  }

  /** Brings the user's own audio files in, as channels of this session. */
  addFiles(files: readonly File[]): Promise<void> {
    return this.adding.add(files);
  }

  /** Asks for a folder and brings its audio files in. */
  async addFolder(): Promise<void> {
    try {
      const files = await directoryOpen({ recursive: true, id: 'stems' });
      await this.adding.add(files as File[]);
    } catch (fault) {
      // A closed dialog is no fault.
      if (fault instanceof DOMException && fault.name === 'AbortError') return;
      this.notices.say('fault', `The folder was not read: ${sentence(fault)}`);
    }
  }

  /** Saves the session as a file: JSON alone, or a ZIP with its sound in it. */
  saveSession(withAudio: boolean): Promise<void> {
    return this.files.save(this.document, withAudio);
  }

  /** Opens a session file in place of this session; what can't be opened is named and nothing is lost. */
  async openSession(file: File): Promise<void> {
    const opened = await this.files.open(file);
    if (!opened) return;
    this.replace(opened.document, opened.known);
    this.saving.save();
    this.sayMissing('The session came without');
  }

  startNewSession(): void {
    this.replace(emptySession(this.document.sampleRate), new Map());
    this.saving.save();
  }

  async openDemo(): Promise<void> {
    this.player.setLoading();
    const document = demoSession();
    try {
      // All are asked for at once, and decoded one after the other.
      const bytes = new Map(document.channels.map(({ audio }) => [audio?.sha256, demoAudio(audio?.file ?? '')]));
      // One that fails before its turn comes is told of in its turn.
      for (const own of bytes.values()) own.catch(() => undefined);
      const { known, faults } = await this.sounds.gather(
        document,
        async ({ sha256 }) => (await bytes.get(sha256)) ?? null,
      );
      if (faults[0] !== undefined) throw new Error(faults[0]);
      this.replace(document, known);
      for (const [sha256, own] of bytes) if (sha256) await this.saving.keepAudio(sha256, await own);
      this.saving.save();
    } catch (fault) {
      this.notices.say('fault', sentence(fault));
      this.replace(emptySession(48000), new Map());
    }
  }

  /** An empty session takes the rate of the first sound that comes into it. */
  begin(sampleRate: number): void {
    this.history.adopt((draft) => {
      draft.sampleRate = sampleRate;
    });
    this.loadAll();
  }

  /** The sound of some channels came or went, without a change of the document. */
  soundsChanged(): void {
    this.follow(null);
  }

  /** Another session takes this one's place. */
  private replace(document: SessionDocument, known: ReadonlyMap<string, Planes>): void {
    this.history = new History(document);
    this.sounds.replace(known);
    this.versions.forget();
    if (!rackIds(document).includes(this.selectedRack)) this.selectedRack = document.channels[0]?.id ?? MIX_ID;
    this.loadAll();
    this.selectRack(this.selectedRack);
  }

  private loadAll(): void {
    const planes = this.sounds.of(this.document);
    this.player.load(this.document, planes);
    this.analysis.load(this.document, planes);
  }

  /** Player, analysis, store and screen follow the document. */
  private follow(moved: RackId | null): void {
    const { document } = this;
    if (!rackIds(document).includes(this.selectedRack)) this.selectRack(document.channels[0]?.id ?? MIX_ID);
    const planes = this.sounds.of(document);
    this.player.update(document, planes);
    this.analysis.update(document, planes, moved);
    this.saving.save();
    this.notify();
  }

  private sayMissing(what: string): void {
    const names = new Set(this.sounds.missing(this.document).map(({ audio }) => audio?.file));
    if (names.size === 0) return;
    this.notices.say(
      'warning',
      `${what} ${[...names].join(', ')}. The racks are kept. Add the files again, or choose “Find file…” at a channel.`,
    );
  }

  private hearMatch(rackId: RackId, match: MatchFigures): void {
    const rack = findRack(this.document, rackId);
    if (!rack) return;
    this.player.setMatch(rackId, rackConfig({ ...rack, matchGainDb: match.gainDb }, this.document.matching).match);
  }

  /** Computed gains become part of the document, without being a step of undo; the player takes those it doesn't hold. */
  private adoptGains({ matchesA, matchesB, outputMatch, outputMatchA, addedGain }: SessionMatches): void {
    const dbOf = (matches: Readonly<Record<string, { gainDb: number } | null>>) =>
      Object.fromEntries(Object.entries(matches).map(([id, match]) => [id, match?.gainDb ?? null]));
    this.player.gains = {
      a: { racks: dbOf(matchesA), outputDb: outputMatchA?.gainDb ?? null },
      b: { racks: dbOf(matchesB), outputDb: outputMatch?.gainDb ?? null },
    };
    this.player.setAddedGain(addedGain);
    const isCurrent = this.document.sides.b === CURRENT;
    const changed = this.history.adopt((draft) => {
      if (!isCurrent) return;
      for (const [rackId, match] of Object.entries(matchesB)) {
        const rack = findRack(draft, rackId);
        if (rack) rack.matchGainDb = match?.gainDb ?? null;
      }
      draft.mix.outputMatchDb = outputMatch?.gainDb ?? null;
    });
    if (changed) this.analysis.adopt(this.document);
    this.player.update(this.document, this.sounds.of(this.document));
    if (!changed) return;
    this.saving.save();
    this.notify();
  }

  /** Keeps what was heard blind with the session, which is no step of undo; false where there is no room. */
  keepTrial(record: TrialRecord): boolean {
    let kept = false;
    this.history.adopt((draft) => {
      kept = keepTrial(draft, { id: this.newId('trial'), record });
    });
    this.analysis.adopt(this.document);
    this.saving.save();
    this.notify();
    return kept;
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
