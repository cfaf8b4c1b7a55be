// What the build and the tests share: packages as the lock files say, API types, type check, bundler.
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  existsSync, mkdirSync, readFileSync, renameSync, rmdirSync, rmSync, statSync, writeFileSync,
} from 'node:fs';
import { dirname, join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';

export const here = dirname(fileURLToPath(import.meta.url));
const description = join(here, '..', 'api', 'openapi.yaml');
const types = join(here, 'src', 'generated', 'api.d.ts');

const digest = (file) => createHash('sha256').update(readFileSync(file)).digest('hex');

/** Runs a command and shows what it says; ends the build where it fails. */
function run(command, args, options) {
  const { status, error } = spawnSync(command, args, { stdio: 'inherit', ...options });
  if (error) throw error;
  if (status !== 0) throw new Error(`ui: ${command} ${args[0]} failed with status ${status}`);
}

/** Runs `work` while no other build of this source tree does: presets may be built side by side. */
async function alone(work) {
  const lock = join(here, '.build-lock');
  const stale = 10 * 60_000;
  for (let waited = 0; ; waited += 200) {
    try {
      mkdirSync(lock);
      break;
    } catch (error) {
      if (error.code !== 'EEXIST') throw error;
      // A build that was killed leaves its lock behind.
      const age = existsSync(lock) ? Date.now() - statSync(lock).mtimeMs : 0;
      if (age > stale || waited > stale) rmSync(lock, { recursive: true, force: true });
      await sleep(200);
    }
  }
  try {
    return await work();
  } finally {
    rmdirSync(lock);
  }
}

/** Installs a folder's packages unless they already are what its lock file says. */
function install(folder) {
  const lock = join(folder, 'package-lock.json');
  const stamp = join(folder, 'node_modules', '.installed-from');
  const wanted = digest(lock);
  if (existsSync(stamp) && readFileSync(stamp, 'utf8') === wanted) return;
  console.log(`ui: installing packages of ${folder === here ? 'ui' : 'ui/api-types'}`);
  run('npm', ['ci', '--prefer-offline', '--no-audit', '--no-fund', '--loglevel=error'], { cwd: folder });
  writeFileSync(stamp, wanted);
}

/** Writes src/generated/api.d.ts when the API's description changed. */
function generateTypes() {
  const stamp = `${types}.from`;
  const wanted = digest(description);
  if (existsSync(types) && existsSync(stamp) && readFileSync(stamp, 'utf8') === wanted) return;
  mkdirSync(dirname(types), { recursive: true });
  const fresh = `${types}.${process.pid}.tmp`;
  run(process.execPath, [
    join(here, 'api-types', 'node_modules', 'openapi-typescript', 'bin', 'cli.js'), description, '-o', fresh,
  ], { cwd: join(here, 'api-types'), stdio: ['ignore', 'ignore', 'inherit'] });
  renameSync(fresh, types);
  writeFileSync(stamp, wanted);
}

/** Packages and types stand ready when this has run. */
export async function prepare() {
  await alone(() => {
    install(here);
    install(join(here, 'api-types'));
    generateTypes();
  });
}

export function typecheck() {
  const { status } = spawnSync(process.execPath, [
    join(here, 'node_modules', 'typescript', 'bin', 'tsc'), '--noEmit', '-p', here,
  ], { cwd: here, stdio: 'inherit' });
  if (status !== 0) process.exit(1);
}

/** What app and tests are bundled with alike. */
export const bundling = {
  absWorkingDir: here,
  bundle: true,
  format: 'esm',
  target: 'es2021',
  jsx: 'automatic',
  jsxImportSource: 'preact',
  logLevel: 'warning',
};

