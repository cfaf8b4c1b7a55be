// How long a bench waits in a large shop: the real server on an invented shop (100,000 entries, 2,000 units), several windows that
// follow every change as the client does, one bench that records. Loopback only, ends by itself after SECONDS.
//
//   node benchmarks/shop_load.mjs LOTWRIGHT MAKE_SHOP [SECONDS [WINDOWS [--settled]]]
//
// Prints, as JSON: until the server answered after its start; until Now had ranked every unit; recorded-and-acknowledged (POST
// /entries until its answer) and noticed (until the event reached a window) at the median and the 95th percentile; the readings
// that the windows made. With --settled the bench begins when everything is worked out, otherwise at once.
import { spawn, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import http from 'node:http';
import { loadavg, tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';

import { newId } from '../tests/api/support/entries.mjs';

const [binary, maker, ...rest] = process.argv.slice(2);
const settled = rest.includes('--settled');
const [seconds = 30, windows = 4] = rest.filter((word) => !word.startsWith('--')).map(Number);
const kPauseMs = 700;
const kFewestUnits = 20;
const kMostSettleSeconds = 900;
if (!binary || !maker) {
  console.error('usage: node benchmarks/shop_load.mjs LOTWRIGHT MAKE_SHOP [SECONDS [WINDOWS [--settled]]]');
  process.exit(2);
}

const agent = new http.Agent({ keepAlive: true, maxSockets: 64 });
function ask(port, method, path, body) {
  return new Promise((resolve, reject) => {
    const request = http.request({ host: '127.0.0.1', port, method, path: `/api/v1${path}`, agent,
      headers: body === undefined ? {} : { 'content-type': 'application/json' } }, (response) => {
      const parts = [];
      response.on('data', (part) => parts.push(part));
      response.on('end', () => {
        const text = Buffer.concat(parts).toString('utf8');
        if (response.statusCode !== 200) reject(new Error(`${method} ${path}: ${response.statusCode} ${text}`));
        else resolve(JSON.parse(text));
      });
    });
    request.on('error', reject);
    request.end(body === undefined ? undefined : JSON.stringify(body));
  });
}

function serve(data) {
  const began = performance.now();
  const child = spawn(binary, ['serve', '--data', data, '--listen', '127.0.0.1:0'], { stdio: ['ignore', 'pipe', 'inherit'] });
  return new Promise((resolve, reject) => {
    let out = '';
    child.on('exit', () => reject(new Error('the server ended')));
    child.stdout.on('data', (bytes) => {
      out += bytes;
      const ready = /127\.0\.0\.1:(\d+)\//.exec(out);
      if (ready) resolve({ port: Number(ready[1]), child, startMs: performance.now() - began });
    });
  });
}

/** Follows like a window: on a change it reads Now, and the unit that it shows when that one changed. */
function follow(port, shown, readings, heard) {
  const request = http.get({ host: '127.0.0.1', port, path: '/api/v1/events', agent: false }, (response) => {
    let text = '';
    response.setEncoding('utf8');
    response.on('data', (part) => {
      text += part;
      for (let end = text.indexOf('\n\n'); end >= 0; end = text.indexOf('\n\n')) {
        const data = /^data: (.*)$/m.exec(text.slice(0, end));
        text = text.slice(end + 2);
        if (!data) continue;
        const change = JSON.parse(data[1]);
        heard(change.sequence);
        const read = async (path) => {
          const at = performance.now();
          await ask(port, 'GET', path);
          readings.push([path.split(/[?/]/)[1], performance.now() - at]);
        };
        void read('/now?rows=25').catch(() => {});
        if (change.subjects.some(({ id }) => id === shown())) void read(`/units/${shown()}`).catch(() => {});
      }
    });
    response.on('error', () => {});
  });
  request.on('error', () => {});
  return () => request.destroy();
}

const quantile = (values, p) => {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted.length === 0 ? null : Math.round(sorted[Math.min(sorted.length - 1, Math.floor(p * sorted.length))] * 10) / 10;
};
const figures = (values) => ({ count: values.length, median: quantile(values, 0.5), p95: quantile(values, 0.95), most: quantile(values, 1) });

const data = mkdtempSync(join(tmpdir(), 'lotwright-load-'));
const root = fileURLToPath(new URL('..', import.meta.url));
const made = spawnSync(maker, [join(data, 'store'), join(root, 'profiles/plover-h1.toml'), join(root, 'profiles/siskin-e6.toml')], { stdio: 'inherit' });
if (made.status !== 0) process.exit(1);
const { port, child, startMs } = await serve(join(data, 'store'));
const stop = [];
try {
  const opened = performance.now();
  const first = await ask(port, 'GET', '/now?rows=25');
  const firstNowMs = performance.now() - opened;
  let allRankedSeconds = null;
  let over = false;
  const rank = async () => {
    for (let now = first; now.pending > 0; now = await ask(port, 'GET', '/now?rows=1')) {
      await sleep(1000);
      if (over || performance.now() - opened > kMostSettleSeconds * 1000) return;
    }
    allRankedSeconds = Math.round((performance.now() - opened) / 100) / 10;
  };
  const ranking = rank();
  if (settled) await ranking;

  while ((await ask(port, 'GET', '/now?rows=1')).ranked < kFewestUnits) await sleep(500);
  const units = (await ask(port, 'GET', '/now?rows=2000')).rows.filter(({ next }) => next.kind === 'check');
  const views = new Map();
  let shown = '';
  const readings = [];
  const acknowledged = [];
  const sent = new Map();
  const heard = [];
  for (let i = 0; i < windows; i += 1) {
    stop.push(follow(port, () => shown, readings, (sequence) => heard.push([sequence, performance.now()])));
  }
  await sleep(200);
  const until = performance.now() + seconds * 1000;
  for (let i = 0; performance.now() < until; i += 1) {
    const row = units[(i * 37) % units.length];
    shown = row.unit;
    if (!views.has(row.unit)) views.set(row.unit, await ask(port, 'GET', `/units/${row.unit}`));
    const check = views.get(row.unit).checks.find(({ id }) => id === views.get(row.unit).advice?.next.id);
    if (check === undefined) continue;
    const outcome = check.outcomes[0].id;
    const entry = { id: newId(), time: new Date().toISOString(), who: 'Ada', bench: 'bench-1', subject: { kind: 'unit', id: row.unit },
      kind: 'finding', version: 1, body: { event: { check: check.id, outcome }, minutes: 1.5 } };
    const at = performance.now();
    const { sequence } = await ask(port, 'POST', '/entries', { entries: [entry] });
    acknowledged.push(performance.now() - at);
    sent.set(sequence, at);
    views.delete(row.unit);
    await sleep(kPauseMs);
  }
  await sleep(500);
  const noticed = heard.filter(([sequence]) => sent.has(sequence)).map(([sequence, at]) => at - sent.get(sequence));
  over = true;
  await ranking;
  console.log(JSON.stringify({
    start_ms: Math.round(startMs), first_now_ms: Math.round(firstNowMs), first_now_pending: first.pending, all_ranked_s: allRankedSeconds,
    settled, windows, acknowledged_ms: figures(acknowledged), noticed_ms: figures(noticed),
    now_ms: figures(readings.filter(([path]) => path === 'now').map(([, ms]) => ms)),
    unit_ms: figures(readings.filter(([path]) => path === 'units').map(([, ms]) => ms)),
    load: loadavg().map((load) => Math.round(load * 10) / 10),
  }, null, 1));
} finally {
  stop.forEach((end) => end());
  child.removeAllListeners('exit');
  child.kill('SIGTERM');
  await new Promise((ended) => child.on('exit', ended));
  rmSync(data, { recursive: true, force: true });
}
