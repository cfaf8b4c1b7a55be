// The stream of changes: news when something is appended, and what was missed after a break.
import assert from 'node:assert/strict';
import test from 'node:test';

import { events, postEntries } from './support/client.mjs';
import * as make from './support/entries.mjs';
import { start, temporaryFolder } from './support/server.mjs';

const server = await start(temporaryFolder({ after: (work) => test.after(work) }));
test.after(() => server.stop());
const { lot, units, all } = make.shop(2);
await postEntries(server, all);

test('an append is told with its sequence and subjects', async () => {
  const stream = await events(server);
  assert.equal(stream.headers['content-type'], 'text/event-stream');
  const { json } = await postEntries(server, [make.note(units[0], 'x'), make.note(units[1], 'y'), make.note(units[0], 'z')]);
  const event = await stream.next();
  assert.equal(event.event, 'entries');
  assert.equal(event.id, String(json.sequence));
  assert.equal(event.data.sequence, json.sequence);
  assert.deepEqual(new Set(event.data.subjects.map(({ id }) => id)), new Set([units[0].id, units[1].id]));
  stream.close();
});

test('a repeated or refused entry is no news', async () => {
  const stream = await events(server);
  const note = make.note(units[0], 'once');
  const { json } = await postEntries(server, [note]);
  await postEntries(server, [note]);
  await postEntries(server, [{ ...note, body: { text: 'other' } }]);
  const { json: last } = await postEntries(server, [make.note(units[1], 'last')]);
  assert.equal((await stream.next()).data.sequence, json.sequence);
  assert.equal((await stream.next()).data.sequence, last.sequence);
  stream.close();
});

test('who comes back is told at once what was missed', async () => {
  const { json: before } = await postEntries(server, [make.note(units[0], 'seen')]);
  const { json: after } = await postEntries(server, [make.note(units[1], 'missed')]);
  for (const [target, headers] of [['/api/v1/events', { 'last-event-id': String(before.sequence) }],
    [`/api/v1/events?after=${before.sequence}`, {}], ['/api/v1/events?after=0', { 'last-event-id': String(before.sequence) }]]) {
    const stream = await events(server, target, headers);
    const event = await stream.next();
    assert.equal(event.data.sequence, after.sequence);
    assert.deepEqual(event.data.subjects, [{ kind: 'unit', id: units[1].id }]);
    stream.close();
  }
  const fresh = await events(server, '/api/v1/events?after=0');
  assert.ok((await fresh.next()).data.subjects.some(({ id }) => id === lot.id));
  fresh.close();
});

test('who is up to date is told nothing, who is ahead is told', async () => {
  const { json } = await postEntries(server, [make.note(units[0], 'now')]);
  const stream = await events(server, `/api/v1/events?after=${json.sequence}`);
  await assert.rejects(stream.next(0.5));
  stream.close();
  const ahead = await events(server, `/api/v1/events?after=${json.sequence + 50}`);
  assert.deepEqual((await ahead.next()).data, { sequence: json.sequence, subjects: [] });
  ahead.close();
});

test('many streams all get every event in order', async () => {
  const streams = await Promise.all(Array.from({ length: 40 }, () => events(server)));
  const sequences = [];
  for (let i = 0; i < 10; i += 1) sequences.push((await postEntries(server, [make.note(units[i % 2], `${i}`)])).json.sequence);
  for (const stream of streams) {
    const got = [];
    for (let i = 0; i < 10; i += 1) got.push((await stream.next()).data.sequence);
    assert.deepEqual(got, sequences);
    stream.close();
  }
});

test('streams end when the server stops, at once', async (t) => {
  const other = await start(temporaryFolder(t));
  const stream = await events(other);
  const began = Date.now();
  assert.deepEqual(await other.stop(), { code: 0, signal: null });
  await stream.ended;
  assert.ok(Date.now() - began < 4000);
});
