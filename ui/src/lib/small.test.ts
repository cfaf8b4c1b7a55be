import assert from 'node:assert/strict';
import { test } from 'node:test';

import { chosenBy, digitForIndex, findingBody, outcomeOf, withAdvice } from './events';
import { isPassing, problemWords } from './problem';
import { readQueue, retryAfterMs, triedAgain, without } from './queue';
import { parseRoute, pathOf } from './route';
import { unitInScan } from './scan';
import { kShapes } from './shapes';

test('paths name screens, also with odd signs in ids', () => {
  assert.deepEqual(parseRoute('/'), { screen: 'now' });
  assert.deepEqual(parseRoute('/units/14'), { screen: 'unit', id: '14' });
  assert.deepEqual(parseRoute('/lots/'), { screen: 'lots' });
  assert.deepEqual(parseRoute(pathOf('profiles', 'a b/c')), { screen: 'profile', id: 'a b/c' });
  assert.deepEqual(parseRoute('/lots/a/b'), { screen: 'unknown', path: '/lots/a/b' });
  assert.deepEqual(parseRoute('/lots/%E0%A4%A'), { screen: 'lot', id: '%E0%A4%A' });
});

test('digits stand for the first nine outcomes and for can\u2019t tell', () => {
  assert.deepEqual([0, 8, 9].map(digitForIndex), [1, 9, null]);
  assert.equal(chosenBy(2, 3), 1);
  assert.equal(chosenBy(4, 3), null);
  assert.equal(chosenBy(0, 3), 'cannot-tell');
});

test('a finding\u2019s body is the event of a case (docs/journal.md)', () => {
  assert.deepEqual(findingBody({ check: 'look', outcome: 'clean', notSure: false, minutes: 1.5 }),
    { event: { check: 'look', outcome: 'clean' }, minutes: 1.5 });
  assert.deepEqual(findingBody({ check: 'look', outcome: 'clean', notSure: true, minutes: null }),
    { event: { check: 'look', outcome: 'clean', sure: 0.7 } });
  assert.deepEqual(findingBody({ check: 'look', outcome: null, notSure: true, minutes: null }), { event: { check: 'look', outcome: null } });
  assert.deepEqual(findingBody({ check: 'rail', outcome: 'low', notSure: false, minutes: 1, reading: { value: 0.4, unit: 'V' }, log: 'abc' }),
    { event: { check: 'rail', outcome: 'low', reading: 0.4, unit: 'V' }, minutes: 1, log: 'abc' });
});

test('steps keep what was advised when they were entered; other entries do not', () => {
  const next = { kind: 'repair', id: 'cell' };
  assert.deepEqual(withAdvice('finding', { event: {} }, next), { event: {}, advised: next });
  assert.deepEqual(withAdvice('scrapped', {}, { ...next, value: 3 } as typeof next), { advised: next });
  assert.deepEqual(withAdvice('note', { text: 'x' }, next), { text: 'x' });
  assert.deepEqual(withAdvice('finding', { event: {} }, null), { event: {} });
});

test('a reading falls into the range that holds it', () => {
  const ranges = [{ outcome: 'short', max: 1 }, { outcome: 'low', min: 1, max: 3 }, { outcome: 'fine', min: 3, max: 4.2 }];
  assert.deepEqual([0, 1, 2.99, 3, 4.2, 4.3].map((value) => outcomeOf(ranges, value)), ['short', 'low', 'low', 'fine', 'fine', null]);
});

test('waiting entries survive a reload, nonsense does not', () => {
  const batch = { id: 'a', entries: [{ id: 'a' }], words: 'clean', tries: 0 };
  assert.deepEqual(readQueue(JSON.stringify([batch, { id: 'b' }, null])), [batch]);
  assert.deepEqual(readQueue('{'), []);
  assert.deepEqual(readQueue(null), []);
  assert.equal(triedAgain([batch], 'a')[0]?.tries, 1);
  assert.deepEqual(without([batch], 'a'), []);
});

test('tries are spaced by doubling, up to half a minute', () => {
  assert.deepEqual([1, 2, 3, 6, 20].map(retryAfterMs), [1000, 2000, 4000, 30_000, 30_000]);
});

test('an answer that a later try may change is told from a refusal', () => {
  assert.deepEqual([0, 429, 503, 400, 409, 422].map(isPassing), [true, true, true, false, false, false]);
  assert.equal(problemWords(422, { title: 'Refused', detail: 'Unit 14 is sold.' }), 'Unit 14 is sold.');
  assert.equal(problemWords(422, { detail: 'x', problems: [{ what: 'price is missing', advice: 'give one' }] }), 'Price is missing: give one.');
  assert.equal(problemWords(500, {}), 'The server answered 500.');
});

test('a scan names a unit by number or address', () => {
  assert.equal(unitInScan(' 0014 '), '14');
  assert.equal(unitInScan('http://bench.local:8460/units/14'), '14');
  assert.equal(unitInScan('SN-14'), null);
});

test('there are thirteen shapes, no two alike', () => {
  const drawn = Object.values(kShapes).map(({ stroke, fill = '', dotted = false }) => `${stroke}|${fill}|${dotted}`);
  assert.equal(drawn.length, 13);
  assert.equal(new Set(drawn).size, 13);
});
