import { fileSave } from 'browser-fs-access';
import { AnalysisClient } from '../analysis/analysis-client.ts';
import { rackConfig } from '../analysis/engine-config.ts';
import type { MatchFigures } from '../analysis/figures.ts';
import type { SessionResult } from '../analysis/session-analysis.ts';
import { decodeFile } from '../audio/decode.ts';
import { Live } from '../audio/live.ts';
import type { RackLevels } from '../audio/live-levels.ts';
import { LiveLevels } from '../audio/live-levels.ts';
import { Player } from '../audio/player.ts';
import { MAX_BUSES, MAX_CHANNELS } from '../engine/limits.ts';
import { MAX_STAGES } from '../engine/oversampling.ts';
import { defaultValues } from '../engine/parameters.ts';
import { findStageKind } from '../engine/stages/catalogue.ts';
import { AudioFileError } from '../files/audio-file-error.ts';
import type { Command } from '../session/commands.ts';
import type { AudioReference, RackId, SessionDocument } from '../session/document.ts';
import { CURRENT, emptySession, findRack, MIX_ID, newBus, newChannel, newStage, rackIds } from '../session/document.ts';
import { History } from '../session/history.ts';
import { openSessionFile, sessionJson, sessionZip } from '../session/session-file.ts';
import { SessionStorage, sha256Hex } from '../session/storage.ts';
import { demoAudio, demoSession } from './demo.ts';
import { Notices } from './notices.ts';
import { Notifier } from './observable.ts';

const SAVE_DELAY = 150;
/** Sample rates at which an audio context can be opened. */
const LOWEST_RATE = 22050;
const HIGHEST_RATE = 192000;

interface Sound {
  readonly reference: AudioReference;
  readonly planes: readonly Float32Array[];
  readonly bytes: Uint8Array<ArrayBuffer>;
}

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

  private history = new History(emptySession(48000));
  private readonly sounds = new Map<string, readonly Float32Array[]>();
  private storage: SessionStorage | null = null;
  private saveTimer: ReturnType<typeof setTimeout> | undefined;
  private ids = 0;

  constructor() {
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
      exact: (result) => this.adoptGains(result),
      fault: (text) => this.notices.say('fault', text),
    });
  }

  get document(): SessionDocument {
    return this.history.document;
  }
  get canUndo(): boolean {
    return this.history.canUndo;
  }
  get canRedo(): boolean {
    return this.history.canRedo;
  }

  /** Brings the last session back, or the demo where there is none. */
  async open(): Promise<void> {
    this.player.setLoading();
    try {
      this.storage = await SessionStorage.open();
      const stored = await this.storage.load();
      if (stored) {
        await this.restore(stored, this.storage);
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
    if (!this.history.dispatch(command, performance.now())) return;
    this.follow(movedRack(command));
  }

  undo(): void {
    if (this.history.undo()) this.follow(null);
  }

  redo(): void {
    if (this.history.redo()) this.follow(null);
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

  /** Decodes the user's files one by one; those that can't be read are named, the others come in. */
  async addFiles(files: readonly File[]): Promise<void> {
    const room = MAX_CHANNELS - this.document.channels.length;
    if (files.length > room) {
      this.notices.say(
        'warning',
        `A session holds ${MAX_CHANNELS} channels; the first ${Math.max(0, room)} files are added.`,
      );
    }
    for (const file of files.slice(0, Math.max(0, room))) {
      try {
        const bytes = new Uint8Array(await file.arrayBuffer());
        await this.addSound(file.name, bytes);
      } catch (fault) {
        this.notices.say('fault', fault instanceof AudioFileError ? fault.message : `${file.name}: ${sentence(fault)}`);
      }
    }
  }

  /** Saves the session as a file: JSON alone, or a ZIP with its sound in it. */
  async saveSession(withAudio: boolean): Promise<void> {
    const { document } = this;
    const stem = document.name.replace(/[^\p{L}\p{N} ._-]+/gu, ' ').trim() || 'session';
    try {
      if (!withAudio) {
        const blob = new Blob([sessionJson(document)], { type: 'application/json' });
        await fileSave(blob, { fileName: `${stem}.json`, extensions: ['.json'] });
        return;
      }
      const audio = await this.storedAudio(document);
      const response = new Response(sessionZip(document, audio), { headers: { 'content-type': 'application/zip' } });
      await fileSave(response, { fileName: `${stem}.zip`, extensions: ['.zip'] });
    } catch (fault) {
      // A closed dialog is no fault.
      if (fault instanceof DOMException && fault.name === 'AbortError') return;
      this.notices.say('fault', `The session was not saved: ${sentence(fault)}`);
    }
  }

  /** Opens a session file in place of this session; what can't be opened is named and nothing is lost. */
  async openSession(file: File): Promise<void> {
    try {
      const bytes = new Uint8Array(await file.arrayBuffer());
      const { document, audio, missing } = await openSessionFile(bytes, sha256Hex);
      const sounds = new Map<string, readonly Float32Array[]>();
      const lost = new Set(missing);
      for (const channel of document.channels) {
        if (!channel.audio) continue;
        const { sha256, file: name } = channel.audio;
        // A session without its sound may still find it here, from before.
        const own = audio.get(sha256) ?? (await this.storage?.loadAudio(sha256)) ?? null;
        if (!own) continue;
        lost.delete(name);
        const { planes } = await this.decode(name, own, document.sampleRate);
        sounds.set(channel.id, planes);
        await this.keep(sha256, own);
      }
      this.replace(document, sounds);
      this.save();
      if (lost.size > 0) {
        this.notices.say(
          'warning',
          `The session came without ${[...lost].join(', ')}. Its racks are kept; add the files again.`,
        );
      }
    } catch (fault) {
      this.notices.say('fault', `${file.name}: ${sentence(fault)}`);
    }
  }

  private async storedAudio(document: SessionDocument): Promise<Map<string, Uint8Array<ArrayBuffer>>> {
    const audio = new Map<string, Uint8Array<ArrayBuffer>>();
    for (const channel of document.channels) {
      const sha256 = channel.audio?.sha256;
      const bytes = sha256 ? await this.storage?.loadAudio(sha256) : null;
      if (sha256 && bytes) audio.set(sha256, bytes);
    }
    return audio;
  }

  startNewSession(): void {
    this.replace(emptySession(this.document.sampleRate), new Map());
    this.save();
  }

  async openDemo(): Promise<void> {
    this.player.setLoading();
    const document = demoSession();
    try {
      const sounds = await Promise.all(
        document.channels.map(async (channel) => {
          const audio = channel.audio as AudioReference;
          const sound = await this.decode(audio.file, await demoAudio(audio.file), document.sampleRate);
          return [channel.id, sound] as const;
        }),
      );
      this.replace(document, new Map(sounds.map(([id, { planes }]) => [id, planes])));
      for (const [, { reference, bytes }] of sounds) await this.keep(reference.sha256, bytes);
      this.save();
    } catch (fault) {
      this.notices.say('fault', sentence(fault));
      this.replace(emptySession(48000), new Map());
    }
  }

  private async addSound(name: string, bytes: Uint8Array<ArrayBuffer>): Promise<void> {
    const first = this.document.channels.length === 0;
    const audio = await decodeFile(name, bytes);
    // An empty session takes the first file's own rate, if sound can be played at it.
    const own = audio.sampleRate;
    const sampleRate = first ? (own >= LOWEST_RATE && own <= HIGHEST_RATE ? own : 48000) : this.document.sampleRate;
    const planes = await this.analysis.resample(audio.channels, own, sampleRate);
    const reference: AudioReference = {
      file: name,
      sha256: await sha256Hex(bytes),
      sampleRate: own,
      channelCount: audio.channels.length,
      frames: audio.channels[0].length,
    };
    await this.keep(reference.sha256, bytes);
    const channel = newChannel(this.newId('channel'), name.replace(/\.[^.]+$/, ''), { audio: reference });
    const sounds = new Map(this.sounds).set(channel.id, planes);
    if (first) {
      this.replace({ ...emptySession(sampleRate, 'My session'), channels: [channel] }, sounds);
      this.selectRack(channel.id);
      this.save();
      return;
    }
    this.sounds.set(channel.id, planes);
    this.history.dispatch({ type: 'add-channel', channel }, performance.now());
    this.follow(null);
    this.selectRack(channel.id);
  }

  private async restore(document: SessionDocument, storage: SessionStorage): Promise<void> {
    const sounds = new Map<string, readonly Float32Array[]>();
    const missing: string[] = [];
    for (const channel of document.channels) {
      if (!channel.audio) continue;
      const bytes = await storage.loadAudio(channel.audio.sha256);
      if (!bytes) {
        missing.push(channel.audio.file);
        continue;
      }
      try {
        const { planes } = await this.decode(channel.audio.file, bytes, document.sampleRate);
        sounds.set(channel.id, planes);
      } catch (fault) {
        this.notices.say('fault', sentence(fault));
      }
    }
    if (missing.length > 0) {
      this.notices.say(
        'warning',
        `The browser no longer has ${missing.join(', ')}. Add the files again; the racks are kept.`,
      );
    }
    this.replace(document, sounds);
  }

  private async decode(name: string, bytes: Uint8Array<ArrayBuffer>, sampleRate: number): Promise<Sound> {
    const audio = await decodeFile(name, bytes);
    const planes = await this.analysis.resample(audio.channels, audio.sampleRate, sampleRate);
    const reference: AudioReference = {
      file: name,
      sha256: await sha256Hex(bytes),
      sampleRate: audio.sampleRate,
      channelCount: audio.channels.length,
      frames: audio.channels[0].length,
    };
    return { reference, planes, bytes };
  }

  /** Another session takes this one's place. */
  private replace(document: SessionDocument, sounds: ReadonlyMap<string, readonly Float32Array[]>): void {
    this.history = new History(document);
    const known = new Map(sounds);
    this.sounds.clear();
    for (const [id, planes] of known) this.sounds.set(id, planes);
    if (!rackIds(document).includes(this.selectedRack)) this.selectedRack = document.channels[0]?.id ?? MIX_ID;
    this.player.load(document, this.sounds);
    this.analysis.load(document, this.sounds);
    this.selectRack(this.selectedRack);
  }

  /** Player, analysis, store and screen follow the document. */
  private follow(moved: RackId | null): void {
    const { document } = this;
    if (!rackIds(document).includes(this.selectedRack)) this.selectRack(document.channels[0]?.id ?? MIX_ID);
    const present = new Map([...this.sounds].filter(([id]) => document.channels.some((channel) => channel.id === id)));
    this.player.update(document, present);
    this.analysis.update(document, present, moved);
    this.save();
    this.notify();
  }

  private hearMatch(rackId: RackId, match: MatchFigures): void {
    const rack = findRack(this.document, rackId);
    if (!rack) return;
    this.player.setMatch(rackId, rackConfig({ ...rack, matchGainDb: match.gainDb }, this.document.matching).match);
  }

  /** Computed gains become part of the document, without being a step of undo; the player takes those it doesn't hold. */
  private adoptGains(result: SessionResult): void {
    const dbOf = (matches: Readonly<Record<string, { gainDb: number } | null>>) =>
      Object.fromEntries(Object.entries(matches).map(([id, match]) => [id, match?.gainDb ?? null]));
    const matchesB = Object.fromEntries(Object.entries(result.racks).map(([id, { match }]) => [id, match]));
    this.player.gains = {
      a: { racks: dbOf(result.matchesA), outputDb: result.outputMatchA?.gainDb ?? null },
      b: { racks: dbOf(matchesB), outputDb: result.outputMatch?.gainDb ?? null },
    };
    this.player.setAddedGain(result.addedGain);
    const isCurrent = this.document.sides.b === CURRENT;
    const changed = this.history.adopt((draft) => {
      if (!isCurrent) return;
      for (const [rackId, match] of Object.entries(matchesB)) {
        const rack = findRack(draft, rackId);
        if (rack) rack.matchGainDb = match?.gainDb ?? null;
      }
      draft.mix.outputMatchDb = result.outputMatch?.gainDb ?? null;
    });
    if (changed) this.analysis.adopt(this.document);
    this.player.update(this.document, this.sounds);
    if (!changed) return;
    this.save();
    this.notify();
  }

  private async keep(sha256: string, bytes: Uint8Array<ArrayBuffer>): Promise<void> {
    try {
      await this.storage?.saveAudio(sha256, bytes);
    } catch (fault) {
      this.notices.say('warning', sentence(fault));
    }
  }

  /** Stores the session soon: at once is too often while something is dragged, later than this would lose work. */
  private save(): void {
    this.saveTimer ??= setTimeout(() => {
      this.saveTimer = undefined;
      this.storage?.save(this.document).catch((fault) => this.notices.say('warning', sentence(fault)));
    }, SAVE_DELAY);
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

function sentence(fault: unknown): string {
  return fault instanceof Error ? fault.message : String(fault);
}
