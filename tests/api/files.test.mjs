// Attachments, and the files of the browser client.
import assert from 'node:assert/strict';
import { createHash, randomBytes } from 'node:crypto';
import test from 'node:test';
import { gunzipSync } from 'node:zlib';

import { ask, get, post } from './support/client.mjs';
import { start, temporaryFolder } from './support/server.mjs';

const server = await start(temporaryFolder({ after: (work) => test.after(work) }), ['--max-attachment', '2']);
test.after(() => server.stop());

test('a file comes back byte by byte under its SHA-256', async () => {
  const bytes = randomBytes(300_000);
  const stored = await post(server, '/attachments', bytes, { 'content-type': 'image/jpeg' });
  assert.deepEqual(stored.json, { attachment: createHash('sha256').update(bytes).digest('hex'), size: bytes.length });
  assert.deepEqual((await post(server, '/attachments', bytes)).json, stored.json);
  const back = await get(server, `/attachments/${stored.json.attachment}`);
  assert.ok(back.bytes.equals(bytes));
  assert.match(back.headers['cache-control'], /immutable/);
  assert.equal(back.headers['content-security-policy'], "default-src 'none'; sandbox");
});

test('a browser that has the file is told so', async () => {
  const { json } = await post(server, '/attachments', 'kept');
  const path = `/attachments/${json.attachment}`;
  const { headers } = await get(server, path);
  const again = await get(server, path, { 'if-none-match': headers.etag });
  assert.equal(again.status, 304);
  assert.equal(again.text, '');
});

test('a file above the limit is refused, an empty one too', async () => {
  assert.equal((await post(server, '/attachments', Buffer.alloc(2 * 1024 * 1024))).status, 200);
  assert.equal((await post(server, '/attachments', Buffer.alloc(2 * 1024 * 1024 + 1))).status, 413);
  assert.equal((await post(server, '/attachments', '')).status, 422);
});

test('a file that is no meter log has no meter view', async () => {
  const { json } = await post(server, '/attachments', randomBytes(2000));
  assert.equal((await get(server, `/attachments/${json.attachment}/meter`)).status, 422);
  assert.equal((await get(server, `/attachments/${json.attachment}/meter?profile=none`)).status, 404);
});

test('a log is read as it is told to be', async () => {
  const { json } = await post(server, '/attachments', 'Time,Left,Right\n0,1.0,0.40\n100,1.1,0.41\n200,1.0,0.40\n');
  const log = `/attachments/${json.attachment}/meter`;
  assert.equal((await get(server, log)).status, 422);
  const told = await get(server, `${log}?column=3&time_unit=ms&decimal=.`);
  assert.equal(told.json.duration_s, 0.2);
  assert.deepEqual(told.json.trace.amperes, [0.4, 0.41, 0.4]);
  assert.equal((await get(server, `${log}?column=7`)).status, 422);
});

test('the client is served, packed and unpacked, and its screens are its page', async () => {
  const page = await ask(server, 'GET', '/');
  assert.equal(page.status, 200);
  assert.match(page.text, /<title>Lotwright<\/title>/);
  const packed = await ask(server, 'GET', '/', { headers: { 'accept-encoding': 'gzip' } });
  assert.equal(packed.headers['content-encoding'], 'gzip');
  assert.equal(gunzipSync(packed.bytes).toString(), page.text);
  for (const screen of ['/now', '/units/7', '/lots/some-lot']) assert.equal((await ask(server, 'GET', screen)).text, page.text);
  const script = /src="([^"]+\.js)"/.exec(page.text)[1];
  const loaded = await ask(server, 'GET', script);
  assert.match(loaded.headers['content-type'], /^text\/javascript/);
  assert.match(loaded.headers['cache-control'], /immutable/);
  assert.equal(page.headers['cache-control'], 'no-cache');
  assert.equal((await ask(server, 'GET', script, { headers: { 'if-none-match': loaded.headers.etag } })).status, 304);
});
