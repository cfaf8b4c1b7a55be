// Appending entries: once, all or none, and only what the rules of the world allow.
import assert from 'node:assert/strict';
import test from 'node:test';

import { get, post, postEntries } from './support/client.mjs';
import * as make from './support/entries.mjs';
import { start, temporaryFolder } from './support/server.mjs';

async function opened(t, count = 3) {
  const server = await start(temporaryFolder(t));
  t.after(() => server.stop());
  const shop = make.shop(count);
  assert.equal((await postEntries(server, shop.all)).status, 200);
  return { server, ...shop };
}
const sequenceOf = async (server) => (await get(server, '/status')).json.sequence;

test('an entry that is sent again is stored once', async (t) => {
  const { server, units } = await opened(t);
  const note = make.note(units[0], 'once');
  const first = await postEntries(server, [note]);
  const second = await postEntries(server, [note]);
  assert.equal(first.json.accepted[0].repeated, false);
  assert.equal(second.status, 200);
  assert.deepEqual(second.json.accepted[0], { ...first.json.accepted[0], repeated: true });
  assert.equal(second.json.sequence, first.json.sequence);
});

test('the same id with other content is refused', async (t) => {
  const { server, units } = await opened(t);
  const note = make.note(units[0], 'one thing');
  await postEntries(server, [note]);
  const before = await sequenceOf(server);
  const other = await postEntries(server, [{ ...note, body: { text: 'another thing' } }]);
  assert.equal(other.status, 409);
  assert.match(other.json.detail, /other content/);
  assert.equal(await sequenceOf(server), before);
});

test('nothing of a batch is kept when one entry breaks a rule of the world', async (t) => {
  const { server, units } = await opened(t);
  await postEntries(server, [make.sold(units[0])]);
  const before = await sequenceOf(server);
  const note = make.note(units[1], 'with the second sale');
  const refused = await postEntries(server, [note, make.sold(units[0])]);
  assert.equal(refused.status, 409);
  assert.ok(refused.json.problems.length > 0);
  assert.match(refused.json.problems[0].pointer, /^\/entries\/1/);
  assert.equal(await sequenceOf(server), before);
  const again = await postEntries(server, [note]);
  assert.equal(again.json.accepted[0].repeated, false);
});

test('a file that is not stored cannot be attached', async (t) => {
  const { server, units } = await opened(t);
  const before = await sequenceOf(server);
  const refused = await postEntries(server,
    [make.about(units[0], 'meter-log-attached', { attachment: '0'.repeat(64), name: 'gone.csv' })]);
  assert.equal(refused.status, 409);
  assert.equal(await sequenceOf(server), before);
});

test('all that is wrong with a batch is said at once, each with its place', async (t) => {
  const { server, units } = await opened(t);
  const { status, json } = await postEntries(server, [
    { ...make.note(units[0], 'x'), id: 'no-uuid' },
    make.note(units[0], 'fine'),
    { ...make.note(units[0], 'x'), kind: 'no-such-kind' },
    { ...make.note(units[0], 'x'), body: { text: 'x', surplus: 1 } },
  ]);
  assert.equal(status, 422);
  const pointers = json.problems.map(({ pointer }) => pointer.split('/').slice(0, 3).join('/'));
  assert.deepEqual([...new Set(pointers)], ['/entries/0', '/entries/2', '/entries/3']);
});

test('a body that is no batch is refused', async (t) => {
  const { server, units } = await opened(t);
  const bodies = [[], {}, { entries: {} }, { entries: [] }, { entries: [3] }, { entries: [make.note(units[0], 'x')], more: 1 },
    { entries: Array.from({ length: 1001 }, () => make.note(units[0], 'x')) }];
  for (const body of bodies) assert.equal((await post(server, '/entries', body)).status, 422, JSON.stringify(body).slice(0, 60));
});

test('of many that sell the same unit at once exactly one succeeds', async (t) => {
  const { server, units } = await opened(t);
  const answers = await Promise.all(Array.from({ length: 24 }, (_, i) => postEntries(server, [make.sold(units[0], 3000 + i)])));
  const statuses = answers.map(({ status }) => status);
  assert.equal(statuses.filter((status) => status === 200).length, 1);
  assert.equal(statuses.filter((status) => status === 409).length, 23);
});

test('many who send the same entry at once store it once', async (t) => {
  const { server, units } = await opened(t);
  const before = await sequenceOf(server);
  const note = make.note(units[0], 'the same');
  const answers = await Promise.all(Array.from({ length: 24 }, () => postEntries(server, [note])));
  assert.ok(answers.every(({ status }) => status === 200));
  assert.equal(answers.filter(({ json }) => !json.accepted[0].repeated).length, 1);
  assert.equal(await sequenceOf(server), before + 1);
});

test('entries are read in order, a thousand at most', async (t) => {
  const { server, units } = await opened(t, 1);
  const notes = Array.from({ length: 1000 }, (_, i) => make.note(units[0], `note ${i}`));
  assert.equal((await postEntries(server, notes)).status, 200);
  const first = (await get(server, '/entries')).json;
  assert.equal(first.entries.length, 1000);
  assert.equal(first.sequence, 1003);
  assert.deepEqual(first.entries.map(({ sequence }) => sequence), Array.from({ length: 1000 }, (_, i) => i + 1));
  const rest = (await get(server, '/entries?after=1000')).json;
  assert.deepEqual(rest.entries.map(({ body }) => body.text), ['note 997', 'note 998', 'note 999']);
  assert.deepEqual((await get(server, '/entries?after=5000')).json.entries, []);
});

test('an entry that is read back can be sent again', async (t) => {
  const { server } = await opened(t);
  const { entries } = (await get(server, '/entries')).json;
  const again = await postEntries(server, entries);
  assert.equal(again.status, 200);
  assert.ok(again.json.accepted.every(({ repeated }) => repeated));
});

test('striking takes an entry out and puts it back', async (t) => {
  const { server, units } = await opened(t);
  const sale = make.sold(units[0]);
  await postEntries(server, [sale]);
  assert.equal((await get(server, '/units/1')).json.unit.state.id, 'as-is');
  const strike = make.about(units[0], 'struck', { entry: sale.id, reason: 'wrong unit' });
  assert.equal((await postEntries(server, [strike])).status, 200);
  assert.equal((await get(server, '/units/1')).json.unit.state.id, 'incoming');
  await postEntries(server, [make.about(units[0], 'struck', { entry: strike.id })]);
  assert.equal((await get(server, '/units/1')).json.unit.state.id, 'as-is');
});

test('a lot with units cannot be struck', async (t) => {
  const { server, lot } = await opened(t);
  const refused = await postEntries(server, [make.entry('struck', { kind: 'lot', id: lot.id }, { entry: lot.id })]);
  assert.equal(refused.status, 409);
});
