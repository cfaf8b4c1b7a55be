// Receiving a lot through the API: lines whose model is not known, shortages, what Now and the lot say meanwhile.
import assert from 'node:assert/strict';
import test from 'node:test';

import { get, postEntries, settledNow } from './support/client.mjs';
import * as make from './support/entries.mjs';
import { start, temporaryFolder } from './support/server.mjs';

/** A lot with a line of lamps and a line that nobody knows, a unit received on each. */
async function opened(t) {
  const server = await start(temporaryFolder(t));
  t.after(() => server.stop());
  const lot = make.lotBought({ claim_by: '2026-12-08', lines: [
    { id: 'a', profile: 'bench-lamp', model: 'Bench lamp', revision: 'r1', declared: 2 }, { id: 'u', model: 'No label', declared: 2 }] });
  const known = make.unitReceived(lot, 1);
  const unknown = make.unitReceived(lot, 2);
  unknown.body.line = 'u';
  const answer = await postEntries(server, [make.profileSaved(), lot, known, unknown]);
  assert.equal(answer.status, 200, answer.text);
  return { server, lot, known, unknown };
}

test('a unit of an unknown model is named later and has advice then', async (t) => {
  const { server, unknown } = await opened(t);
  assert.equal((await get(server, '/units/2')).json.advice, null);
  const early = make.finding(unknown, 'charge-current', 'slow');
  const refused = await postEntries(server, [early]);
  assert.equal(refused.status, 409);
  assert.match(refused.text, /say first which model it is/);
  const named = make.about(unknown, 'model-known', { profile: 'bench-lamp', revision: 'r3' });
  assert.equal((await postEntries(server, [named, make.finding(unknown, 'charge-current', 'slow')])).status, 200);
  const { json: unit } = await get(server, '/units/2');
  assert.equal(unit.unit.model, 'Bench lamp');
  assert.equal(unit.unit.revision, 'r3');
  assert.notEqual(unit.advice, null);
  assert.match(unit.diary.map(({ words }) => words).join('\n'), /It is a Bench lamp, revision r3/);
  const strike = await postEntries(server, [make.about(unknown, 'struck', { entry: named.id })]);
  assert.equal(strike.status, 409, 'a finding rests on it');
});

test('the lot says what is missing, claimed and not known', async (t) => {
  const { server, lot } = await opened(t);
  const claim = make.entry('shortage-claimed', { kind: 'lot', id: lot.id }, { line: 'a', count: 1, date: '2026-11-28', reference: 'mail' });
  assert.equal((await postEntries(server, [claim])).status, 200);
  const { json } = await get(server, `/lots/${lot.id}`);
  assert.equal(json.lot.claim_by, '2026-12-08');
  const [a, u] = json.lines;
  assert.deepEqual([a.missing, a.unknown, a.claimed], [1, 0, [{ count: 1, date: '2026-11-28', reference: 'mail' }]]);
  assert.deepEqual([u.missing, u.unknown, u.claimed], [1, 1, []]);
  const elsewhere = make.entry('shortage-claimed', { kind: 'lot', id: lot.id }, { line: 'z', count: 1, date: '2026-11-28' });
  assert.equal((await postEntries(server, [elsewhere])).status, 409);
});

test('Now gives as many rows as are asked for, and says how many there are', async (t) => {
  const { server, lot } = await opened(t);
  const more = [3, 4, 5].map((number) => make.unitReceived(lot, number));
  assert.equal((await postEntries(server, more)).status, 200);
  const now = await settledNow(server);
  const found = make.finding(more[0], 'charge-current', 'slow');
  assert.equal(now.rows.length, 1);
  assert.deepEqual(now.rows[0].same.map(({ number }) => number), [3, 4, 5]);
  assert.equal(now.ranked, 4);
  assert.equal((await postEntries(server, [found])).status, 200);
  const apart = await settledNow(server);
  assert.equal(apart.all_rows, 2);
  assert.deepEqual(apart.rows.map(({ number, same }) => [number, ...same.map((each) => each.number)]).sort(), [[1, 4, 5], [3]]);
  assert.deepEqual(now.without_advice.map(({ number }) => number), [2]);
  const { json: first } = await get(server, '/now?rows=1');
  assert.deepEqual(first.rows, apart.rows.slice(0, 1));
  assert.equal(first.ranked, 4);
  assert.equal((await get(server, '/now?rows=0')).status, 400);
  assert.equal((await get(server, '/now?rows=many')).status, 400);
});

test('an entry about one unit shows in the documents of many at the next reading', async (t) => {
  const { server, lot, known } = await opened(t);
  await settledNow(server);
  for (const outcome of ['slow', 'fast']) {
    assert.equal((await postEntries(server, [make.finding(known, 'charge-current', outcome)])).status, 200);
    const { json } = await get(server, `/lots/${lot.id}`);
    const tray = json.units.find(({ number }) => number === 1);
    const { json: unit } = await get(server, '/units/1');
    if (!tray.pending) assert.equal(tray.expected, unit.advice.value);
    await settledNow(server);
    const { json: later } = await get(server, `/lots/${lot.id}`);
    assert.equal(later.pending, 0);
    assert.equal(later.units.find(({ number }) => number === 1).expected, unit.advice.value);
  }
});
