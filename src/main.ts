import { version } from '../package.json';
import { sessionBenchSpec } from './measure/tone-bench/session-spec.ts';
import { BENCH_SILENT, BENCH_TESTS } from './measure/tone-bench/spec.ts';
import './components/app/level-best-app.ts';
import type { LevelBestApp } from './components/app/level-best-app.ts';
import type { AnalysisStore } from './stores/analysis-store.ts';
import type { FileStore } from './stores/file-store.ts';
import type { LevelStore } from './stores/level-store.ts';
import type { LiveStore } from './stores/live-store.ts';
import type { NoticeStore } from './stores/notice-store.ts';
import type { PlayerStore } from './stores/player-store.ts';
import type { SessionStore } from './stores/session-store.ts';
import type { BenchStore } from './stores/tone-bench-store.ts';
import { Workbench } from './workbench/workbench.ts';

/** Puts the workbench behind the screen. Nothing else in the project knows both. */
const bench = new Workbench(`Level Best ${version}`);

const files: FileStore = {
  subscribe: bench.subscribe,
  get reading() {
    return bench.adding.reading;
  },
  stopReading: () => bench.adding.stop(),
  kept: bench.kept,
  addFolder: () => bench.addFolder(),
  get missing() {
    return bench.missing;
  },
  findFile: (channelId, file) => bench.adding.find(channelId, file),
  get versions() {
    return bench.versions.questions;
  },
  answerVersions: (answers) => bench.versions.answer(answers),
};

const session: SessionStore = {
  files,
  subscribe: bench.subscribe,
  get document() {
    return bench.document;
  },
  get canUndo() {
    return bench.canUndo;
  },
  get canRedo() {
    return bench.canRedo;
  },
  get undoAbout() {
    return bench.undoAbout;
  },
  get redoAbout() {
    return bench.redoAbout;
  },
  get undone() {
    return bench.undone;
  },
  get isWorthKeeping() {
    return bench.isWorthKeeping;
  },
  get selectedRack() {
    return bench.selectedRack;
  },
  dispatch: (command) => bench.dispatch(command),
  undo: () => bench.undo(),
  redo: () => bench.redo(),
  selectRack: (rackId) => bench.selectRack(rackId),
  addStage: (rackId, kind) => bench.addStage(rackId, kind),
  addStages: (rackIds, kind) => bench.addStages(rackIds, kind),
  addBus: (channelIds) => bench.addBus(channelIds),
  addFiles: (files) => bench.addFiles(files),
  startNewSession: () => bench.startNewSession(),
  openDemo: () => bench.openDemo(),
  newId: (what) => bench.newId(what),
  saveSession: (withAudio) => bench.saveSession(withAudio),
  openSession: (file) => bench.openSession(file),
  setToAlignment: (rackIds) => bench.setToAlignment(rackIds),
};

const player: PlayerStore = {
  subscribe: bench.playerChanges.subscribe,
  get state() {
    return bench.player.state;
  },
  get playing() {
    return bench.player.playing;
  },
  get side() {
    return bench.player.side;
  },
  get durationSeconds() {
    return bench.player.durationSeconds;
  },
  get panic() {
    return bench.player.panic;
  },
  get guardActing() {
    return bench.player.guardActing;
  },
  get monitorDb() {
    return bench.player.monitorDb;
  },
  positionSeconds: () => bench.player.positionSeconds(),
  play: async () => (bench.trials.busy ? undefined : bench.player.play()),
  stop: () => bench.player.stop(),
  seek: (seconds) => bench.player.seek(seconds),
  setSide: (side) => bench.player.setSide(side),
  setPanic: (on) => bench.player.setPanic(on),
  setMonitorDb: (db) => bench.player.setMonitorDb(db),
};

const analysis: AnalysisStore = {
  subscribe: bench.analysisChanges.subscribe,
  get status() {
    return bench.analysis.status;
  },
  get progress() {
    return bench.analysis.progress;
  },
  get clean() {
    return bench.analysis.clean;
  },
  get coloured() {
    return bench.analysis.coloured;
  },
  get mixMatch() {
    return bench.analysis.mixMatch;
  },
  get headroomDb() {
    return bench.analysis.headroomDb;
  },
  get shortened() {
    return bench.analysis.shortened;
  },
  get addedPercent() {
    return bench.analysis.addedPercent;
  },
  get toneFrequencies() {
    return bench.analysis.toneFrequencies;
  },
  get waveform() {
    return bench.analysis.waveform;
  },
  get loudestColour() {
    return bench.analysis.loudestColour;
  },
  rack: (rackId) => bench.analysis.rack(rackId),
};

const live: LiveStore = {
  subscribe: bench.liveChanges.subscribe,
  get settings() {
    return bench.live.settings;
  },
  configure: (settings) => {
    bench.live.configure(settings);
    bench.liveChanges.notify();
  },
  onFrame: (listener) => bench.live.onFrame(listener),
  get latest() {
    return bench.live.latest;
  },
};

const notices: NoticeStore = {
  subscribe: bench.notices.subscribe,
  get notices() {
    return bench.notices.notices;
  },
  dismiss: (id) => bench.notices.dismiss(id),
};

const levels: LevelStore = {
  subscribe: bench.levelChanges.subscribe,
  get latest() {
    return bench.selectedLevels;
  },
  reset: () => bench.player.resetLevels(),
};

const tones: BenchStore = {
  subscribe: bench.subscribe,
  tests: BENCH_TESTS,
  silent: BENCH_SILENT,
  async run({ rackId, test, values }) {
    const spec = sessionBenchSpec(bench.document, rackId, test, values);
    if (!spec) throw new Error('This rack is not in the session any more. Choose another one.');
    return bench.analysis.bench(spec);
  },
};

const app = document.querySelector('level-best-app') as LevelBestApp;
app.sessionStore = session;
app.playerStore = player;
app.analysisStore = analysis;
app.liveStore = live;
app.noticeStore = notices;
app.levelStore = levels;
app.benchStore = tones;
app.trialStore = bench.trials;
app.takeHomeStore = bench.takeHome;

// For the browser tests: what the loudspeakers get, and the workbench behind the screen.
(globalThis as { levelBest?: Workbench }).levelBest = bench;

void bench.open();
