/**
 * Which browser the tests and the screenshots drive, and how it must be started: CHROME_PATH, an installed Chrome or
 * Chromium, then the one that comes packaged through npm, so that a machine with nothing but Node can run everything.
 */
import { spawnSync } from 'node:child_process';
import { accessSync, constants, existsSync, mkdirSync, mkdtempSync, readFileSync, renameSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { delimiter, dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const cache = join(dirname(fileURLToPath(import.meta.url)), '..', '.cache');

const INSTALLED_NAMES = ['chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable', 'chrome'];
const INSTALLED_PATHS = [
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  '/Applications/Chromium.app/Contents/MacOS/Chromium',
  'C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe',
  'C:\\Program Files (x86)\\Google\\Chrome\\Application\\chrome.exe',
];

/** For closed networks and containers: nothing is fetched in the background, sound may start without a click. */
const COMMON_ARGS = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  '--disable-dev-shm-usage',
  '--autoplay-policy=no-user-gesture-required',
];

/**
 * @returns {Promise<{ executablePath: string, args: string[], env: Record<string, string>, headless: true | 'shell' }>}
 *   `env` holds only what must be added to the environment; `headless` is what a launcher must be told.
 * @throws Error with one sentence that says what to do when there is no browser.
 */
export async function findBrowser() {
  const wanted = process.env.CHROME_PATH;
  if (wanted) {
    if (!isExecutable(wanted))
      throw new Error(`CHROME_PATH names "${wanted}", which can't be run. Correct or unset it.`);
    return installed(wanted);
  }
  const found = findInstalled();
  if (found) return installed(found);
  const packaged = await unpackPackaged();
  if (packaged) return packaged;
  throw new Error(
    'No browser was found: install Chromium or Chrome, set CHROME_PATH to one, or run "npm ci" on 64-bit Linux without leaving out optional packages.',
  );
}

function installed(executablePath) {
  return { executablePath, args: ['--headless=new', ...COMMON_ARGS], env: {}, headless: true };
}

function findInstalled() {
  const folders = (process.env.PATH ?? '').split(delimiter).filter(Boolean);
  const candidates = [
    ...INSTALLED_NAMES.flatMap((name) => folders.map((folder) => join(folder, name))),
    ...INSTALLED_PATHS,
  ];
  return candidates.find(isExecutable);
}

function isExecutable(path) {
  try {
    accessSync(path, constants.X_OK);
    return true;
  } catch {
    return false;
  }
}

/** Unpacks the packaged browser once into .cache; undefined where the package is missing or made for another system. */
async function unpackPackaged() {
  if (process.platform !== 'linux' || process.arch !== 'x64') return undefined;
  let version;
  try {
    const entry = createRequire(import.meta.url).resolve('@sparticuz/chromium');
    version = JSON.parse(readFileSync(join(entry, '..', '..', '..', 'package.json'), 'utf8')).version;
  } catch {
    return undefined;
  }
  const folder = join(cache, `chromium-${version}`);
  if (!existsSync(folder)) await unpackInto(folder);
  const executablePath = join(folder, 'chromium');
  const env = {};
  if (lacksLibraries(executablePath)) {
    env.LD_LIBRARY_PATH = [join(folder, 'al2023', 'lib'), process.env.LD_LIBRARY_PATH].filter(Boolean).join(delimiter);
  }
  if (!existsSync('/etc/fonts/fonts.conf')) env.FONTCONFIG_PATH = join(folder, 'fonts');
  // The packaged build is a headless shell that runs in one process.
  const args = ['--headless=shell', '--single-process', '--no-zygote', ...COMMON_ARGS];
  return { executablePath, args, env, headless: 'shell' };
}

/**
 * The package unpacks into the temporary folder, and its libraries only in an environment it knows; both are set for
 * the time of the call. Unpacking goes to a folder of its own that is renamed when complete, so that an interrupted
 * run leaves nothing half done.
 */
async function unpackInto(folder) {
  mkdirSync(cache, { recursive: true });
  const unpacking = mkdtempSync(join(cache, 'unpacking-'));
  const names = ['TMPDIR', 'AWS_EXECUTION_ENV', 'LD_LIBRARY_PATH', 'FONTCONFIG_PATH', 'HOME'];
  const before = names.map((name) => [name, process.env[name]]);
  try {
    process.env.TMPDIR = unpacking;
    process.env.AWS_EXECUTION_ENV = 'AWS_Lambda_nodejs20.x';
    const { default: chromium } = await import('@sparticuz/chromium');
    await chromium.executablePath();
    renameSync(unpacking, folder);
  } catch (error) {
    rmSync(unpacking, { recursive: true, force: true });
    if (!existsSync(folder)) throw error;
  } finally {
    for (const [name, value] of before) {
      if (value === undefined) delete process.env[name];
      else process.env[name] = value;
    }
  }
}

function lacksLibraries(executablePath) {
  const { status, stdout } = spawnSync('ldd', [executablePath], { encoding: 'utf8' });
  return status !== 0 || stdout.includes('not found');
}

/** Path of an installed Firefox (FIREFOX_PATH, firefox-esr, firefox), in which the browser tests run once more; or null. */
export function findFirefox() {
  for (const name of [process.env.FIREFOX_PATH, 'firefox-esr', 'firefox'].filter(Boolean)) {
    const { status, stdout } = spawnSync('sh', ['-c', `command -v "${name}"`], { encoding: 'utf8' });
    if (status === 0) return stdout.trim();
  }
  return null;
}
