// Starts the program that is tested and talks to it. LOTWRIGHT names the binary.
import { spawn, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

export const binary = process.env.LOTWRIGHT;
if (!binary) throw new Error('set LOTWRIGHT to the lotwright binary');

const kStartSeconds = 30;
const kStopSeconds = 20;

/** A folder that goes when the test (or test file) ends. */
export function temporaryFolder(context) {
  const folder = mkdtempSync(join(tmpdir(), 'lotwright-test-'));
  context.after(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

/**
 * Starts `lotwright serve` on a free loopback port (or where `extra` says `--listen`) and waits until it says that it is ready.
 * Gives {url, port, pid, data, log(), stop(), kill()}; stop() and kill() end with the exit.
 */
export function start(data, extra = []) {
  const listen = extra.includes('--listen') ? [] : ['--listen', '127.0.0.1:0'];
  const child = spawn(binary, ['serve', '--data', data, ...listen, ...extra],
    { stdio: ['ignore', 'pipe', 'pipe'] });
  let log = '';
  let out = '';
  child.stderr.on('data', (bytes) => { log += bytes; });
  const exited = new Promise((resolve) => { child.on('exit', (code, signal) => resolve({ code, signal })); });
  const end = (signal) => {
    child.kill(signal);
    const timer = setTimeout(() => child.kill('SIGKILL'), kStopSeconds * 1000);
    return exited.finally(() => clearTimeout(timer));
  };
  return new Promise((resolve, reject) => {
    const timer = setTimeout(() => { child.kill('SIGKILL'); reject(new Error(`not ready: ${log}`)); },
      kStartSeconds * 1000);
    exited.then(({ code, signal }) => { clearTimeout(timer); reject(new Error(`ended (${code} ${signal}): ${log}`)); });
    child.stdout.on('data', (bytes) => {
      out += bytes;
      const ready = /Lotwright is at (http:\/\/127\.0\.0\.1:(\d+))\/\n/.exec(out);
      if (!ready) return;
      clearTimeout(timer);
      resolve({
        url: ready[1], port: Number(ready[2]), pid: child.pid, data, exited, log: () => log,
        stop: () => end('SIGTERM'), kill: () => end('SIGKILL'),
      });
    });
  });
}

/** Runs a command to its end: {status, out, err}. */
export function run(args, { input = '', env = {}, timeout = 60_000 } = {}) {
  const done = spawnSync(binary, args, {
    input, timeout, encoding: 'utf8', maxBuffer: 1 << 28, env: { ...process.env, ...env },
  });
  if (done.error) throw done.error;
  return { status: done.status, out: done.stdout, err: done.stderr };
}
