// Photos: taken in whatever format, shown smaller, matched to units by their labels, erased for good.
import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { existsSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import test from 'node:test';

import { ask, get, post, postEntries } from './support/client.mjs';
import * as make from './support/entries.mjs';
import { kFormats, photoSamples } from './support/photos.mjs';
import { run, start, temporaryFolder } from './support/server.mjs';

const context = { after: (work) => test.after(work) };
const samples = photoSamples(context);
const data = temporaryFolder(context);
const server = await start(data);
test.after(() => server.stop());
const { units, all } = make.shop(3);
await postEntries(server, all);

const photo = (name, at = server) => post(at, '/photos', samples.bytes(name));
const attached = (unit, attachment, more = {}) => make.about(unit, 'photo-attached', { attachment, ...more });
const erased = (unit, attachment) => make.about(unit, 'photo-erased', { attachment, reason: 'shows a person' });
const below = (folder, attachment) => readdirSync(join(folder, 'attachments', attachment.slice(0, 2))).filter((name) => name.startsWith(attachment));
const picture = (attachment, size) => get(server, `/attachments/${attachment}/picture?size=${size}`);

test('a photo of each format is kept as it is and shown upright in two sizes, for good', async () => {
  for (const [name, format] of Object.entries(kFormats)) {
    const { status, json } = await photo(name);
    assert.equal(status, 200, name);
    const bytes = samples.bytes(name);
    assert.deepEqual(json, {
      attachment: createHash('sha256').update(bytes).digest('hex'), size: bytes.length, format, width: 640, height: 480, labels: [], units: [],
    });
    assert.ok((await get(server, `/attachments/${json.attachment}`)).bytes.equals(bytes));
    for (const size of ['thumb', 'screen']) {
      const shown = await picture(json.attachment, size);
      assert.equal(shown.headers['content-type'], 'image/jpeg');
      assert.match(shown.headers['cache-control'], /max-age=31536000, immutable/);
      assert.ok(!shown.bytes.includes('Exif') && !shown.bytes.includes('ICC_PROFILE'), 'metadata went along');
      const again = await get(server, `/attachments/${json.attachment}/picture?size=${size}`, { 'if-none-match': shown.headers.etag });
      assert.equal(again.status, 304);
    }
  }
});

test('what is no photo is refused with what it is and what to do, and is not kept', async () => {
  const before = run(['verify', '--data', data, '--json']).out;
  const said = async (bytes, status) => {
    const answer = await post(server, '/photos', bytes);
    assert.equal(answer.status, status, answer.text);
    return answer.json.problems?.map(({ what, advice }) => `${what}: ${advice}`).join() ?? answer.json.detail;
  };
  assert.match(await said('time,A\n0,0.4\n', 415), /no photo of a known format: send a JPEG, PNG, WebP, HEIF \(HEIC\) or AVIF/);
  assert.match(await said(Buffer.from('\0\0\0\x18ftypqt  0000'), 415), /a video, not a photo/);
  assert.match(await said(samples.bytes('cut.jpg'), 422), /JPEG is damaged or cut off/);
  assert.match(await said(samples.bytes('bomb.jpg'), 413), /65000 × 65000 pixels \(4225 million\), at most 64 million/);
  assert.match(await said('', 422), /empty/);
  assert.equal((await post(server, '/photos', Buffer.alloc(32 * 1024 * 1024 + 1, 0xff))).status, 413);
  assert.equal(run(['verify', '--data', data, '--json']).out, before);
});

test('a label in the picture names its unit, by number or serial', async () => {
  const named = async (name) => (await photo(name)).json.units.map(({ number, label }) => [number, label]);
  assert.deepEqual(await named('label-1.jpg'), [[1, '1']]);
  assert.deepEqual(await named('label-S-2.jpg'), [[2, 'S-2']]);
  assert.deepEqual((await named('labels-1-2.jpg')).sort(), [[1, '1'], [2, '2']]);
  const unknown = (await photo('label-0000-nobody.jpg')).json;
  assert.deepEqual([unknown.labels, unknown.units], [['0000-nobody'], []]);
});

test('a photo belongs to a unit by an entry, is moved by striking and shown with who took it', async () => {
  const { attachment } = (await photo('label-1.jpg')).json;
  const entry = attached(units[0], attachment, { caption: 'the label' });
  assert.equal((await postEntries(server, [entry])).status, 200);
  const of = async (unit) => (await get(server, `/units/${unit.id}`)).json.photos;
  const [shown] = await of(units[0]);
  assert.deepEqual({ ...shown, time: '' }, { entry: entry.id, attachment, caption: 'the label', who: 'Ada', bench: '', time: '', erased: null });
  const moved = await postEntries(server, [make.about(units[0], 'struck', { entry: entry.id, reason: 'belongs to unit 2' }), attached(units[1], attachment)]);
  assert.equal(moved.status, 200);
  assert.deepEqual(await of(units[0]), []);
  assert.equal((await of(units[1])).length, 1);
  assert.equal((await postEntries(server, [attached(units[0], '0'.repeat(64))])).status, 409);
});

test('an erased photo is gone with all that was made of it, and does not come back', async () => {
  const { attachment } = (await photo('large.jpg')).json;
  assert.equal(below(data, attachment).length, 3);
  const entry = attached(units[2], attachment);
  assert.equal((await postEntries(server, [entry])).status, 200);
  assert.equal((await ask(server, 'DELETE', `/api/v1/photos/${attachment}`)).status, 409, 'of a unit: by its entry only');
  assert.equal((await postEntries(server, [erased(units[2], attachment)])).status, 200);
  assert.deepEqual(below(data, attachment), []);
  for (const path of [`/attachments/${attachment}`, `/attachments/${attachment}/picture`, `/attachments/${attachment}/picture?size=thumb`]) {
    const gone = await get(server, path);
    assert.equal(gone.status, 410, path);
    assert.match(gone.json.detail, /^this photo was erased by Ada on \d{4}-\d\d-\d\d$/);
  }
  const [shown] = (await get(server, `/units/${units[2].id}`)).json.photos;
  assert.equal(shown.erased.who, 'Ada');
  assert.equal(shown.erased.reason, 'shows a person');
  assert.equal((await photo('large.jpg')).status, 410, 'sent again');
  assert.deepEqual(below(data, attachment), []);
  assert.equal((await postEntries(server, [attached(units[0], attachment)])).status, 409);
  assert.equal((await postEntries(server, [entry])).json.accepted[0].repeated, true, 'a late repetition does no harm');
});

test('an upload that was given up leaves nothing', async () => {
  const { attachment } = (await photo('label-13.jpg')).json;
  assert.equal((await ask(server, 'DELETE', `/api/v1/photos/${attachment}`)).status, 200);
  assert.deepEqual(below(data, attachment), []);
  assert.equal((await get(server, `/attachments/${attachment}`)).status, 404);
  assert.equal((await ask(server, 'DELETE', `/api/v1/photos/${attachment}`)).status, 404);
});

test('smaller pictures that were lost or spoiled are made again', async () => {
  const { attachment } = (await photo('corners.heic')).json;
  const first = await picture(attachment, 'thumb');
  const names = below(data, attachment).filter((name) => name !== attachment).map((name) => join(data, 'attachments', attachment.slice(0, 2), name));
  assert.equal(names.length, 2);
  rmSync(names[0]);
  writeFileSync(names[1], '\xff\xd8 torn');
  assert.ok((await picture(attachment, 'thumb')).bytes.equals(first.bytes));
  assert.equal((await picture(attachment, 'screen')).status, 200);
  assert.ok(names.every((name) => existsSync(name)));
  assert.equal((await picture(attachment, 'huge')).status, 400);
  const log = (await post(server, '/attachments', 'time,A\n0,0.4\n')).json.attachment;
  assert.equal((await picture(log, 'thumb')).status, 415);
});

test('a phone learns which unit a bench has open', async () => {
  const put = (bench, unit, is = 'opened') => ask(server, 'PUT', `/api/v1/benches/${encodeURIComponent(bench)}/unit`, { body: { unit, is } });
  assert.equal((await put('bench-1', units[0].id)).status, 200);
  assert.equal((await put('the left one', units[1].id)).status, 200);
  assert.equal((await put('bench-1', units[2].id)).status, 200);
  const standing = async () => (await get(server, '/benches')).json.benches.map(({ bench, unit }) => [bench, unit.number]);
  assert.deepEqual(await standing(), [['bench-1', 3], ['the left one', 2]]);
  assert.equal((await put('bench-1', units[0].id, 'still-open')).status, 200);
  assert.equal((await put('bench-1', units[0].id, 'closed')).status, 200);
  assert.deepEqual((await standing())[0], ['bench-1', 3], 'another screen of the bench takes nothing away');
  assert.equal((await put('bench-1', units[2].id, 'closed')).status, 200);
  assert.deepEqual(await standing(), [['the left one', 2]]);
  assert.equal((await put('bench-1', 'nobody')).status, 404);
  for (const body of [{ unit: 3, is: 'opened' }, { unit: units[0].id }, { unit: units[0].id, is: 'lost' }, []]) {
    assert.ok([404, 422].includes((await ask(server, 'PUT', '/api/v1/benches/bench-1/unit', { body })).status));
  }
  assert.equal((await put('b'.repeat(300), units[0].id)).status, 422);
  const before = (await get(server, '/status')).json.sequence;
  await put('bench-1', units[0].id);
  assert.equal((await get(server, '/status')).json.sequence, before, 'the journal is not touched');
});

test('photos that are decoded do not hold up a finding', async () => {
  const uploads = Promise.all(Array.from({ length: 6 }, () => photo('large.jpg').then(({ status }) => status)));
  const times = [];
  for (let i = 0; i < 20; ++i) {
    const from = performance.now();
    assert.equal((await get(server, '/status')).status, 200);
    times.push(performance.now() - from);
  }
  await uploads;
  times.sort((a, b) => a - b);
  assert.ok(times[10] < 500, `half of the answers took ${Math.round(times[10])} ms or more`);
});

test('a kill at any time leaves no half of an erasure', async (t) => {
  const folder = temporaryFolder(t);
  let again = await start(folder);
  const shop = make.shop(1);
  await postEntries(again, shop.all);
  const { attachment } = (await photo('corners.jpg', again)).json;
  await again.kill();
  again = await start(folder);
  assert.equal((await get(again, `/attachments/${attachment}/picture`)).status, 200, 'bytes without an entry do no harm');
  await postEntries(again, [attached(shop.units[0], attachment), erased(shop.units[0], attachment)]);
  await again.kill();
  // As if the kill had come between the entry and the bytes.
  writeFileSync(join(folder, 'attachments', attachment.slice(0, 2), attachment), samples.bytes('corners.jpg'));
  writeFileSync(join(folder, 'attachments', attachment.slice(0, 2), `${attachment}.thumb.jpg`), 'x');
  assert.match(run(['verify', '--data', folder]).out + run(['verify', '--data', folder]).err, /was erased, but its bytes are still there/);
  again = await start(folder);
  assert.deepEqual(below(folder, attachment), []);
  assert.equal((await get(again, `/attachments/${attachment}`)).status, 410);
  await again.stop();
  assert.equal(run(['verify', '--data', folder]).status, 0);
});
