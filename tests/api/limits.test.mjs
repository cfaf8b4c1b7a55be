// What comes from outside is not trusted: broken, too large, from elsewhere.
import assert from 'node:assert/strict';
import net from 'node:net';
import test from 'node:test';

import { ask, get, post, postEntries } from './support/client.mjs';
import * as make from './support/entries.mjs';
import { seeded } from './support/random.mjs';
import { start, temporaryFolder } from './support/server.mjs';

const server = await start(temporaryFolder({ after: (work) => test.after(work) }));
test.after(() => server.stop());
const { units, all } = make.shop(2);
await postEntries(server, all);
const json = { 'content-type': 'application/json' };

/** Bytes as they are over a socket; gives what comes back until the server closes or goes quiet. */
function raw(bytes, quietMs = 1500) {
  return new Promise((resolve, reject) => {
    let text = '';
    const socket = net.connect(server.port, '127.0.0.1', () => socket.write(bytes));
    socket.setTimeout(quietMs, () => socket.destroy());
    socket.on('data', (part) => { text += part; });
    socket.on('close', () => resolve(text));
    socket.on('error', (error) => (text ? resolve(text) : reject(error)));
  });
}

test('broken JSON is refused with its place', async () => {
  const { status, json: problem } = await post(server, '/entries', '{"entries": [\n  {"id": }\n]}', json);
  assert.equal(status, 400);
  assert.deepEqual([problem.problems[0].line, problem.problems[0].column], [2, 10]);
});

test('text that is not UTF-8 is refused', async () => {
  const body = Buffer.concat([Buffer.from('{"entries": "'), Buffer.from([0xff, 0xfe]), Buffer.from('"}')]);
  assert.equal((await post(server, '/entries', body, json)).status, 400);
});

test('deep nesting is refused', async () => {
  const deep = '['.repeat(500_000);
  assert.equal((await post(server, '/entries', deep, json)).status, 400);
  const entry = JSON.stringify({ entries: [make.note(units[0], 'x')] }).replace('"x"', '['.repeat(70) + ']'.repeat(70));
  assert.equal((await post(server, '/entries', entry, json)).status, 400);
});

test('a body of another kind is refused', async () => {
  assert.equal((await post(server, '/entries', '{}', { 'content-type': 'text/plain' })).status, 415);
});

test('a JSON body above 4 MB is refused, announced or not', async () => {
  const large = Buffer.alloc(5 * 1024 * 1024, 0x20);
  assert.equal((await post(server, '/entries', large, json)).status, 413);
  assert.equal((await post(server, '/entries', large, { ...json, 'transfer-encoding': 'chunked' })).status, 413);
});

test('a header above the limit is refused', async () => {
  const answer = await raw(`GET /api/v1/status HTTP/1.1\r\nHost: localhost\r\nX-Long: ${'a'.repeat(40_000)}\r\n\r\n`);
  assert.match(answer, /^HTTP\/1\.1 431 /);
  assert.match(answer, /application\/problem\+json/);
});

test('broken HTTP is refused', async () => {
  for (const message of ['nonsense\r\n\r\n', 'GET http://elsewhere/ HTTP/1.1\r\nHost: localhost\r\n\r\n',
    'GET /%zz HTTP/1.1\r\nHost: localhost\r\n\r\n',
    'POST /api/v1/entries HTTP/1.1\r\nHost: localhost\r\nContent-Length: 3\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n',
    'POST /api/v1/entries HTTP/1.1\r\nHost: localhost\r\nContent-Length: 3\r\nContent-Length: 4\r\n\r\nabcd']) {
    assert.match(await raw(message), /^HTTP\/1\.1 400 /, message);
  }
});

test('paths that are not there are not found', async () => {
  const paths = ['/api', '/api/v1', '/api/v1/', '/api/v1/nothing', '/api/v1/units', '/api/v1/lots/none', '/api/v1/units/none',
    '/api/v1/units/999999999999999999999', '/api/v1/profiles/none', `/api/v1/attachments/${'0'.repeat(64)}`,
    '/api/v1/attachments/..%2F..%2Fetc%2Fpasswd', `/api/v1/attachments/${'0'.repeat(64)}/meter`, '/api/v2/status', '/nothing.js',
    '/..%2Fjournal.db'];
  for (const path of paths) assert.equal((await ask(server, 'GET', path)).status, 404, path);
  assert.equal((await post(server, '/profiles/none/infer', { events: [] })).status, 404);
});

test('a path says which methods it takes', async () => {
  const refused = await ask(server, 'DELETE', '/api/v1/entries');
  assert.equal(refused.status, 405);
  assert.equal(refused.headers.allow, 'GET, HEAD, POST');
  assert.equal((await ask(server, 'PUT', '/api/v1/status')).status, 405);
  assert.equal((await ask(server, 'POST', '/now')).status, 405);
});

test('parameters that are no numbers are refused', async () => {
  for (const path of ['/entries?after=x', '/entries?after=-1', '/entries?after=1.5', '/events?after=x', '/find', '/units/1/suppose', '/units/1/suppose?check=a',
    `/attachments/${'0'.repeat(64)}/meter?points=7`, `/attachments/${'0'.repeat(64)}/meter?interval=nan`,
    `/attachments/${'0'.repeat(64)}/meter?interval=-1`]) {
    assert.equal((await get(server, path)).status, 400, path);
  }
});

test('only this server\'s names are taken as Host', async () => {
  for (const host of ['elsewhere.example', 'localhost.elsewhere.example', '10.0.0.1']) {
    assert.equal((await get(server, '/status', { host })).status, 421, host);
  }
  for (const host of ['localhost', `127.0.0.1:${server.port}`, '[::1]:8460']) {
    assert.equal((await get(server, '/status', { host })).status, 200, host);
  }
  assert.match(await raw('GET /api/v1/status HTTP/1.1\r\n\r\n'), /^HTTP\/1\.1 400 /);
});

test('pages of other origins cannot write', async () => {
  const entries = { entries: [make.note(units[0], 'from elsewhere')] };
  for (const headers of [{ origin: 'http://elsewhere.example' }, { origin: 'null' }, { origin: `http://127.0.0.1:${server.port + 1}` },
    { 'sec-fetch-site': 'cross-site' }]) {
    assert.equal((await post(server, '/entries', entries, headers)).status, 403, JSON.stringify(headers));
  }
  assert.equal((await post(server, '/entries', entries, { origin: `http://127.0.0.1:${server.port}` })).status, 200);
});

test('answers carry the security headers and allow no other origin', async () => {
  for (const path of ['/', '/api/v1/status', '/api/v1/nothing', '/now']) {
    const { headers } = await ask(server, 'GET', path, { headers: { origin: 'http://elsewhere.example' } });
    assert.match(headers['content-security-policy'], /default-src 'self'/, path);
    assert.equal(headers['x-content-type-options'], 'nosniff');
    assert.equal(headers['referrer-policy'], 'no-referrer');
    assert.equal(headers['access-control-allow-origin'], undefined);
  }
});

test('impossible evidence and wrong cases are said as such', async () => {
  const clash = { events: [{ confirmed: 'cell-open' }, { check: 'full-test', outcome: 'pass' }] };
  const belief = await post(server, '/profiles/bench-lamp/infer', clash);
  assert.equal(belief.status, 200);
  assert.equal(belief.json.evidence_probability, 0);
  assert.deepEqual(belief.json.conflict, [0, 1]);
  assert.equal((await post(server, '/profiles/bench-lamp/advise', clash)).status, 422);
  const wrong = await post(server, '/profiles/bench-lamp/infer', { events: [{ check: 'no-such-check', outcome: 'x' }] });
  assert.equal(wrong.status, 422);
  assert.match(wrong.json.problems[0].pointer, /events/);
});

test('a profile\'s problems are told all at once', async () => {
  const toml = make.lampToml.replace('probability = 0.2', 'probability = 7').replace('assembly = "battery"', 'assembly = "nothing"');
  const { status, json: check } = await post(server, '/profiles/check', toml);
  assert.equal(status, 200);
  assert.equal(check.ok, false);
  assert.equal(check.problems.filter(({ severity }) => severity === 'error').length, 2);
  assert.ok(check.problems.every(({ line }) => line > 0));
  const refused = await postEntries(server, [make.profileSaved(toml)]);
  assert.equal(refused.status, 409);
});

/** Changes bytes of a text here and there. */
function mutated(text, random) {
  const bytes = [...Buffer.from(text)];
  const pieces = ['{', '}', '[', ']', '"', ',', ':', '\\u0000', '\\ud800', '1e999', '-', 'null', '\u0000', '9'.repeat(40)];
  for (let change = 0; change <= Math.floor(random() * 6); change += 1) {
    const at = Math.floor(random() * bytes.length);
    const way = random();
    if (way < 0.3) bytes.splice(at, 1 + Math.floor(random() * 20));
    else if (way < 0.6) bytes[at] = Math.floor(random() * 256);
    else if (way < 0.8) bytes.splice(at, 0, ...Buffer.from(pieces[Math.floor(random() * pieces.length)]));
    else bytes.splice(at, 0, ...bytes.slice(at, at + Math.floor(random() * 200)));
  }
  return Buffer.from(bytes);
}

test('three hundred mutated bodies: each is answered, none brings the server down', async () => {
  const random = seeded(20261125);
  const targets = [
    ['/entries', () => JSON.stringify({ entries: [make.finding(units[0], 'charge-current', 'slow'), make.sold(units[1])] })],
    ['/profiles/check', () => make.lampToml],
    ['/profiles/bench-lamp/infer', () => JSON.stringify({ events: [{ check: 'charge-current', outcome: 'slow', sure: 0.7 }, { repair: 'swap-battery' }] })],
    ['/profiles/bench-lamp/advise', () => JSON.stringify({ access: 'open', events: [{ check: 'charge-current', likelihood: { slow: 1, fast: 0.2 } }] })],
  ];
  for (let round = 0; round < 300; round += 1) {
    const [path, body] = targets[round % targets.length];
    const { status } = await post(server, path, mutated(body(), random), json);
    assert.ok([200, 400, 409, 422].includes(status), `round ${round}: ${path} gave ${status}`);
    assert.equal((await get(server, '/status')).status, 200, `round ${round}`);
  }
  assert.doesNotMatch(server.log(), /error/);
});

test('meter logs that are none are answered', async () => {
  const random = seeded(7);
  const log = `t[s];I[mA]\n${Array.from({ length: 80 }, (_, i) => `${i};${400 + (i % 3)}`).join('\n')}`;
  for (let round = 0; round < 40; round += 1) {
    const stored = await post(server, '/attachments', mutated(log, random));
    assert.equal(stored.status, 200);
    const { status } = await get(server, `/attachments/${stored.json.attachment}/meter?profile=bench-lamp`);
    assert.ok([200, 422].includes(status), `round ${round} gave ${status}`);
  }
});
