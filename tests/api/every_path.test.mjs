// Every operation of api/openapi.yaml, asked of a shop with something in it, answers as described.
import assert from 'node:assert/strict';
import test from 'node:test';

import { ask, events, get, post, postEntries, settledNow } from './support/client.mjs';
import { operations } from './support/contract.mjs';
import * as make from './support/entries.mjs';
import { photoSamples } from './support/photos.mjs';
import { start, temporaryFolder } from './support/server.mjs';

/** Ten minutes at 0.4 A: the slow phase of the lamp's meter check. */
const slowLog = `seconds,A,V\n${Array.from({ length: 600 }, (_, i) => `${i},${(0.4 + 0.002 * ((i * 7) % 3)).toFixed(3)},5.05`).join('\n')}\n`;

test('every operation answers as it is described', async (t) => {
  const server = await start(temporaryFolder(t));
  t.after(() => server.stop());
  const { lot, units, all } = make.shop(4);
  assert.equal((await postEntries(server, all)).status, 200);
  const stored = await post(server, '/attachments', slowLog, { 'content-type': 'application/octet-stream' });
  assert.equal(stored.status, 200);
  const log = stored.json.attachment;
  const samples = photoSamples(t);
  const photo = (await post(server, '/photos', samples.bytes('corners.png'))).json.attachment;
  const more = [
    make.about(units[0], 'photo-attached', { attachment: photo, caption: 'as it came' }),
    make.about(units[0], 'meter-log-attached', { attachment: log, name: 'lamp.csv' }),
    make.finding(units[0], 'charge-current', 'slow'),
    make.about(units[0], 'repair-done', {
      event: { repair: 'swap-battery' }, minutes: 7, parts: [{ sku: 'battery-b1', count: 1, price: make.usd(950) }],
    }),
    make.about(units[0], 'test-result', { test: 'light', passed: true }),
    make.about(units[0], 'test-result', { test: 'volts', value: 4.1 }),
    make.about(units[0], 'graded', { grade: 'a' }),
    make.finding(units[1], 'charge-current', 'blank'),
    make.about(units[1], 'wait-started', { what: 'drying', due: '2026-12-01T08:00:00.000Z' }),
    make.sold(units[2]),
    make.about(units[3], 'held-aside', { reason: 'locked', check: 'lock list', date: '2026-11-25' }),
  ];
  assert.equal((await postEntries(server, more)).status, 200);

  const examples = {
    getDescription: () => get(server, '/openapi.yaml'),
    getStatus: () => get(server, '/status'),
    getLots: () => get(server, '/lots'),
    getLot: () => get(server, `/lots/${lot.id}`),
    getUnit: () => get(server, `/units/${units[0].id}`),
    suppose: () => get(server, `/units/${units[0].id}/suppose?check=charge-current&outcome=slow`),
    getNow: () => get(server, '/now'),
    getMoney: () => get(server, '/money'),
    getProfiles: () => get(server, '/profiles'),
    checkProfile: () => post(server, '/profiles/check', make.lampToml, { 'content-type': 'application/toml' }),
    editProfile: () => post(server, '/profiles/edit', { toml: make.lampToml, edits: [{ edit: 'set', path: ['device', 'name'], value: 'Lamp' }] }),
    getProfile: () => get(server, '/profiles/bench-lamp'),
    infer: () => post(server, '/profiles/bench-lamp/infer', { events: [{ check: 'charge-current', outcome: 'slow' }] }),
    advise: () => post(server, '/profiles/bench-lamp/advise', { events: [{ check: 'charge-current', outcome: 'slow' }] }),
    getShippedProfiles: () => get(server, '/shipped-profiles'),
    find: () => get(server, '/find?q=2'),
    getEntries: () => get(server, '/entries?after=3'),
    postEntries: () => postEntries(server, [make.note(units[0], 'a note')]),
    postAttachment: () => post(server, '/attachments', 'other bytes'),
    getAttachment: () => get(server, `/attachments/${log}`),
    getPicture: () => get(server, `/attachments/${photo}/picture`),
    postPhoto: () => post(server, '/photos', samples.bytes('corners.webp')),
    deletePhoto: async () => {
      const { json } = await post(server, '/photos', samples.bytes('label-13.jpg'));
      return ask(server, 'DELETE', `/api/v1/photos/${json.attachment}`);
    },
    getBenches: () => get(server, '/benches'),
    putBenchUnit: () => ask(server, 'PUT', '/api/v1/benches/bench-1/unit', { body: { unit: units[0].id, is: 'opened' } }),
    getMeter: () => get(server, `/attachments/${log}/meter?profile=bench-lamp&points=100`),
    getByEye: () => get(server, '/profiles/bench-lamp/by-eye?shown=.4'),
    getEvents: async () => {
      const stream = await events(server);
      stream.close();
      return stream;
    },
  };
  for (const { id } of operations) {
    await t.test(id, async () => {
      assert.ok(examples[id], `no example of ${id}`);
      assert.equal((await examples[id]()).status, 200);
    });
  }

  await t.test('all units read as described, by id and by number', async () => {
    for (const unit of units) {
      const byId = await get(server, `/units/${unit.id}`);
      const byNumber = await get(server, `/units/${unit.body.number}`);
      assert.equal(byId.status, 200);
      assert.deepEqual(byNumber.json, byId.json);
    }
    assert.equal((await get(server, `/units/${units[0].id}`)).json.unit.state.id, 'proved');
    assert.equal((await get(server, '/units/2')).json.unit.state.id, 'waiting');
    assert.equal((await get(server, '/units/3')).json.unit.state.id, 'as-is');
    assert.equal((await get(server, '/units/4')).json.unit.state.id, 'held-aside');
  });

  await t.test('the meter view gives phases, a trace and the outcome of the profile', async () => {
    const { json } = await get(server, `/attachments/${log}/meter?profile=bench-lamp&points=100`);
    assert.equal(json.samples, 600);
    assert.deepEqual(json.phases.map(({ kind }) => kind), ['slow']);
    assert.equal(json.outcome, 'slow');
    assert.equal(json.check, 'charge-current');
    assert.equal(json.trace.seconds.length, json.trace.amperes.length);
    assert.ok(json.trace.seconds.length > 0 && json.trace.seconds.length <= 220);
    const plain = await get(server, `/attachments/${log}/meter`);
    assert.equal(plain.json.outcome, undefined);
  });

  await t.test('reading changes nothing', async () => {
    const before = (await get(server, '/status')).json.sequence;
    for (const id of Object.keys(examples)) if (id.startsWith('get') || id === 'find') await examples[id]();
    assert.equal((await get(server, '/status')).json.sequence, before);
  });

  await t.test('a restart keeps everything', async () => {
    const paths = ['/lots', `/lots/${lot.id}`, '/units/1', '/units/2', '/now', '/money', '/profiles', '/entries'];
    const before = [];
    await settledNow(server);
    for (const path of paths) before.push((await get(server, path)).json);
    assert.deepEqual(await server.stop(), { code: 0, signal: null });
    const again = await start(server.data);
    t.after(() => again.stop());
    await settledNow(again);
    for (const [i, path] of paths.entries()) assert.deepEqual((await get(again, path)).json, before[i], path);
    const file = await get(again, `/attachments/${log}`);
    assert.equal(file.text, slowLog);
    assert.equal((await ask(again, 'HEAD', `/api/v1/attachments/${log}`)).headers['content-length'], String(slowLog.length));
  });
});
