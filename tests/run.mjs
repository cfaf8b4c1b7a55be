// Runs test files of one folder with their packages: `node run.mjs FOLDER`. Ends with their status.
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readFileSync, readdirSync, rmdirSync, statSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = dirname(fileURLToPath(import.meta.url));
const lock = join(here, '.install-lock');
const kStaleMs = 5 * 60_000;

/** Installs the packages of the lock file unless they are there; one process at a time does it. */
function install() {
  const stamp = join(here, 'node_modules', '.installed-from');
  const wanted = createHash('sha256').update(readFileSync(join(here, 'package-lock.json'))).digest('hex');
  const isThere = () => existsSync(stamp) && readFileSync(stamp, 'utf8') === wanted;
  while (!isThere()) {
    try {
      mkdirSync(lock);
    } catch {
      // A run that was killed leaves its lock behind.
      if (existsSync(lock) && Date.now() - statSync(lock).mtimeMs > kStaleMs) rmdirSync(lock);
      Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 200);
      continue;
    }
    try {
      const done = spawnSync('npm', ['ci', '--prefer-offline', '--no-audit', '--no-fund', '--ignore-scripts', '--loglevel=error'],
        { cwd: here, stdio: 'inherit' });
      if (done.status !== 0) process.exit(1);
      writeFileSync(stamp, wanted);
    } finally {
      rmdirSync(lock);
    }
  }
}

install();
const folder = join(here, process.argv[2]);
const files = readdirSync(folder).filter((name) => name.endsWith('.test.mjs')).map((name) => join(folder, name));
if (files.length === 0) throw new Error(`no tests in ${folder}`);
const done = spawnSync(process.execPath, ['--test', '--test-reporter=spec', ...files], { stdio: 'inherit' });
process.exit(done.status ?? 1);
