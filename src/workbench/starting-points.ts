import { fileOpen } from 'browser-fs-access';
import type { RackProfile } from '../measure/rack-profile.ts';
import type { Command } from '../session/commands.ts';
import type { RackId, SessionDocument, Stage } from '../session/document.ts';
import { findRack, LIMITS } from '../session/document.ts';
import type { NamedRack } from '../session/rack-file.ts';
import { isRackFile, parseRack, rackJson } from '../session/rack-file.ts';
import { STARTING_POINTS } from '../session/starting-points.ts';
import { Notifier } from '../stores/observable.ts';
import type { ListedPoint, StartingPointStore } from '../stores/starting-point-store.ts';
import type { Notices } from './notices.ts';
import { sentence } from './notices.ts';
import type { SessionFiles } from './session-files.ts';

/** A rack file is a few thousand bytes; what is longer is none. */
const MOST_BYTES = 1_000_000;

/** Where points are put and measured. */
export interface StartingPointHost {
  readonly document: SessionDocument;
  dispatch(command: Command): void;
  /** @throws where it can't be measured */
  profile(rackId: RackId, stages: readonly Stage[]): Promise<RackProfile>;
}

/** Where the user's own are kept. */
export interface RackKeeping {
  readonly isKept: boolean;
  newId(): string;
  readonly store: {
    racks(): Promise<ReadonlyMap<string, unknown>>;
    saveRack(id: string, rack: NamedRack): Promise<void>;
    discardRack(id: string): Promise<void>;
  } | null;
}

/** The racks that one can begin with: the tool's, and the user's own, which the browser keeps for every session. */
export class StartingPoints extends Notifier implements StartingPointStore {
  points: readonly ListedPoint[] = STARTING_POINTS.map((point) => listed(point.id, point, false));
  /** Counts the looks, so that an older one stops measuring. */
  private looks = 0;

  constructor(
    private readonly host: StartingPointHost,
    private readonly keeping: RackKeeping,
    private readonly files: Pick<SessionFiles, 'write'>,
    private readonly notices: Notices,
  ) {
    super();
  }

  get isKept(): boolean {
    return this.keeping.isKept;
  }

  async look(rackId: RackId): Promise<void> {
    const mine = ++this.looks;
    await this.read();
    for (const { id, stages, unreadable } of this.points) {
      if (mine !== this.looks) return;
      if (unreadable) continue;
      // What can't be measured stays without figures; the worker's fault is said where its figures are shown.
      const profile = await this.host.profile(rackId, stages).catch(() => null);
      if (mine !== this.looks) return;
      this.points = this.points.map((one) => (one.id === id ? { ...one, profile } : one));
      this.notify();
    }
  }

  leave(): void {
    this.looks++;
  }

  put(id: string, rackIds: readonly RackId[]): void {
    const point = this.find(id);
    if (!point || point.unreadable) return;
    this.host.dispatch({ type: 'put-rack', name: point.name, stages: point.stages, rackIds: [...rackIds] });
  }

  async keep(rackId: RackId, name: string): Promise<boolean> {
    const stages = findRack(this.host.document, rackId)?.stages ?? [];
    return stages.length > 0 && (await this.add({ name, about: '', stages })) !== null;
  }

  async discard(id: string): Promise<void> {
    await this.notices.attempt(async () => {
      await this.keeping.store?.discardRack(id);
      await this.read();
    });
  }

  async save(id: string): Promise<void> {
    const point = this.find(id);
    if (!point || point.unreadable) return;
    const blob = new Blob([rackJson(point)], { type: 'application/json' });
    await this.files.write(blob, point.name, '.json', 'The rack');
  }

  async openFile(): Promise<void> {
    try {
      const file = await fileOpen({ extensions: ['.json'], mimeTypes: ['application/json'], id: 'rack' });
      if (!(await this.takeFile(file))) {
        this.notices.say('fault', `${file.name}: This is not a rack that Level Best has saved. Open another file.`);
      }
    } catch (fault) {
      // A closed dialog is no fault.
      if (fault instanceof DOMException && fault.name === 'AbortError') return;
      this.notices.say('fault', `The file was not read: ${sentence(fault)}`);
    }
  }

  async takeFile(file: File): Promise<boolean> {
    if (file.size > MOST_BYTES) return false;
    let content: unknown;
    try {
      content = JSON.parse(await file.text());
    } catch {
      return false;
    }
    if (!isRackFile(content)) return false;
    try {
      const rack = parseRack(content);
      if (await this.add(rack)) {
        this.notices.say('info', `“${rack.name}” is among the starting points now: choose it at any rack.`);
      }
    } catch (fault) {
      this.notices.say('fault', `${file.name}: ${sentence(fault)}`);
    }
    return true;
  }

  /** @returns its id; null where it isn't kept, which is said */
  private async add({ name, about, stages }: NamedRack): Promise<string | null> {
    const { keeping } = this;
    return this.notices.attempt(async () => {
      const { store } = keeping;
      if (!store || !keeping.isKept) {
        this.notices.say(
          'warning',
          'This browser window keeps nothing, so the rack is not in the list. Save the session as a file.',
        );
        return null;
      }
      const id = keeping.newId();
      await store.saveRack(id, { name: name.trim().slice(0, LIMITS.name) || 'A rack', about, stages });
      await this.read();
      return id;
    });
  }

  private find(id: string): ListedPoint | undefined {
    return this.points.find((point) => point.id === id);
  }

  /** The list anew; profiles of points that are still there stay. */
  private async read(): Promise<void> {
    await this.notices.attempt(async () => {
      const kept = (await this.keeping.store?.racks()) ?? new Map<string, unknown>();
      const own = [...kept].map(([id, stored]) => ownPoint(id, stored));
      own.sort((a, b) => a.name.localeCompare(b.name, 'en'));
      const profiles = new Map(this.points.map(({ id, profile }) => [id, profile]));
      const builtIn = STARTING_POINTS.map((point) => listed(point.id, point, false));
      this.points = [...builtIn, ...own].map((point) => ({ ...point, profile: profiles.get(point.id) ?? null }));
    });
    this.notify();
  }
}

function listed(id: string, { name, about, stages }: NamedRack, isOwn: boolean): ListedPoint {
  return { id, name, about, stages, isOwn, unreadable: null, profile: null };
}

/** One that can't be read stays in the list under its name, so that it can be given up or kept for a newer tool. */
function ownPoint(id: string, stored: unknown): ListedPoint {
  try {
    return listed(id, parseRack(stored), true);
  } catch (fault) {
    const { name } = (stored ?? {}) as { name?: unknown };
    const known = typeof name === 'string' && name !== '' ? name : 'A rack without a name';
    return { ...listed(id, { name: known, about: '', stages: [] }, true), unreadable: sentence(fault) };
  }
}
