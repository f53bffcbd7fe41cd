/** By which the screen receives its stores: `level-best-app` provides the real ones, a component's test its own. */
import { createContext } from '@lit/context';
import type { AnalysisStore } from '../../stores/analysis-store.ts';
import type { LevelStore } from '../../stores/level-store.ts';
import type { LiveStore } from '../../stores/live-store.ts';
import type { NoticeStore } from '../../stores/notice-store.ts';
import type { PlayerStore } from '../../stores/player-store.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import type { TakeHomeStore } from '../../stores/take-home-store.ts';
import type { BenchStore } from '../../stores/tone-bench-store.ts';
import type { TrialStore } from '../../stores/trial-store.ts';

export const sessionContext = createContext<SessionStore>(Symbol('session'));
export const playerContext = createContext<PlayerStore>(Symbol('player'));
export const analysisContext = createContext<AnalysisStore>(Symbol('analysis'));
export const liveContext = createContext<LiveStore>(Symbol('live'));
export const noticeContext = createContext<NoticeStore>(Symbol('notices'));
export const levelContext = createContext<LevelStore | undefined>(Symbol('levels'));
export const benchContext = createContext<BenchStore | undefined>(Symbol('bench'));
export const trialContext = createContext<TrialStore | undefined>(Symbol('trials'));
export const takeHomeContext = createContext<TakeHomeStore | undefined>(Symbol('take-home'));
