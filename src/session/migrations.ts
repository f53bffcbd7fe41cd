import { CLEAN, CURRENT } from './schema.ts';
import { withShapeDrive } from './shape-drives.ts';

/** A document as it was stored: nothing about it is known but that it is an object. */
export type Stored = Readonly<Record<string, unknown>>;

/**
 * The step from version `from` to the next. It returns a new document and leaves the old one alone. It adds what is
 * new and touches nothing else: a document that was damaged before is found so by the schema afterwards.
 */
interface Migration {
  readonly from: number;
  readonly about: string;
  readonly migrate: (document: Stored) => Stored;
}

/** In the order of versions. A migration that was released is never changed; the next version gets one of its own. */
export const MIGRATIONS: readonly Migration[] = [
  {
    from: 1,
    about: 'mute and solo, notes, scenes, the two sides and their scope, the drive of all racks, linked drives',
    migrate: (document) => ({
      ...document,
      version: 2,
      notes: '',
      channels: each(document.channels, silenceable),
      buses: each(document.buses, silenceable),
      mix: withRack(document.mix),
      soloThroughBuses: false,
      scenes: [],
      sides: { a: CLEAN, b: CURRENT },
      scope: { kind: 'all' },
      macroDriveDb: 0,
      links: [],
    }),
  },
  {
    from: 2,
    about: 'blind trials that were heard',
    migrate: (document) => ({ ...document, version: 3, trials: [] }),
  },
  {
    from: 3,
    about: 'drives counted from 1 % THD of the shape as set, not of the kind at its defaults',
    migrate: (document) => ({
      ...document,
      version: 4,
      channels: each(document.channels, (strip) => withStages(strip, redriven)),
      buses: each(document.buses, (strip) => withStages(strip, redriven)),
      mix: withStages(document.mix, redriven),
      scenes: each(document.scenes, (scene) =>
        isObject(scene) && isObject(scene.racks) ? { ...scene, racks: eachValue(scene.racks, redrivenRack) } : scene,
      ),
    }),
  },
  {
    from: 4,
    about:
      'stages that colour a band, or the middle or the side (one without these colours everything, as before); all drives under their own name',
    migrate: (document) => ({
      ...withAllDrives(document),
      version: 5,
      scenes: each(document.scenes, (scene) => (isObject(scene) ? withAllDrives(scene) : scene)),
    }),
  },
];

/** Takes a stored document through every step from its own version on. One without a known version comes back as it is. */
export function migrated(document: Stored): Stored {
  return MIGRATIONS.reduce((now, { from, migrate }) => (now.version === from ? migrate(now) : now), document);
}

function withAllDrives({ macroDriveDb, ...rest }: Stored): Stored {
  return macroDriveDb === undefined ? rest : { ...rest, allDrivesDb: macroDriveDb };
}

function silenceable(strip: unknown): unknown {
  const changed = withRack(strip);
  return isObject(changed) ? { ...changed, mute: false, solo: false } : changed;
}

function withRack(strip: unknown): unknown {
  return isObject(strip) && isObject(strip.rack) ? { ...strip, rack: annotatedRack(strip.rack) } : strip;
}

function annotatedRack(rack: Stored): Stored {
  return {
    ...rack,
    notes: '',
    stages: each(rack.stages, (stage) => (isObject(stage) ? { ...stage, notes: '' } : stage)),
  };
}

/** A strip with its stages changed. */
function withStages(strip: unknown, change: (stage: unknown) => unknown): unknown {
  if (!isObject(strip) || !isObject(strip.rack)) return strip;
  return { ...strip, rack: { ...strip.rack, stages: each(strip.rack.stages, change) } };
}

function redrivenRack(rack: unknown): unknown {
  return isObject(rack) ? { ...rack, stages: each(rack.stages, redriven) } : rack;
}

function redriven(stage: unknown): unknown {
  if (!isObject(stage) || typeof stage.kind !== 'string' || !isObject(stage.params)) return stage;
  return { ...stage, params: withShapeDrive(stage.kind, stage.params) };
}

function eachValue(record: Stored, change: (entry: unknown) => unknown): Stored {
  return Object.fromEntries(Object.entries(record).map(([key, value]) => [key, change(value)]));
}

function each(list: unknown, change: (entry: unknown) => unknown): unknown {
  return Array.isArray(list) ? list.map(change) : list;
}

function isObject(value: unknown): value is Stored {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
