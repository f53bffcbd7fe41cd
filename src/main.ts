import { version } from '../package.json';
import './components/app/level-best-app.ts';
import type { LevelBestApp } from './components/app/level-best-app.ts';
import { Workbench } from './workbench/workbench.ts';

/** Puts the workbench behind the screen. Nothing else in the project knows both. */
const workbench = new Workbench(`Level Best ${version}`);

const app = document.querySelector('level-best-app') as LevelBestApp;
app.sessionStore = workbench;
app.playerStore = workbench.player;
app.analysisStore = workbench.analysis;
app.liveStore = workbench.live;
app.noticeStore = workbench.notices;
app.levelStore = workbench.levels;
app.benchStore = workbench.toneBench;
app.trialStore = workbench.trials;
app.takeHomeStore = workbench.takeHome;

// Tests that drive the built tool ask for the workbench by putting this name there before the page loads.
if ('levelBest' in globalThis) Object.assign(globalThis, { levelBest: workbench });

void workbench.open();
