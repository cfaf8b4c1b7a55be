import assert from 'node:assert/strict';
import { test } from 'node:test';

import { bins, chanceBelow, dueShare, orderedTally, receiptBodies, scale, serialList, traysShown, wholeNumber } from './shop';
import { kShapes } from './shapes';
import { kStates } from './shop';

test('the tally follows a unit\u2019s life and leaves out empty states', () => {
  assert.deepEqual(orderedTally([{ state: 'sold', count: 2 }, { state: 'incoming', count: 5 }, { state: 'donor', count: 0 }]),
    [{ state: 'incoming', words: 'incoming', count: 5 }, { state: 'sold', words: 'sold', count: 2 }]);
});

test('trays are found by state, number and serial', () => {
  const trays = [
    { number: 14, serial: 'AB-7', state: { id: 'sold' } }, { number: 145, serial: '', state: { id: 'incoming' } },
    { number: 7, serial: 'XX-14', state: { id: 'incoming' } },
  ];
  assert.deepEqual(traysShown(trays, null, '').length, 3);
  assert.deepEqual(traysShown(trays, null, ' 14 ').map((tray) => tray.number), [14, 145, 7]);
  assert.deepEqual(traysShown(trays, 'incoming', '14').map((tray) => tray.number), [145, 7]);
  assert.deepEqual(traysShown(trays, null, 'ab-').map((tray) => tray.number), [14]);
});

test('every state has a shape', () => {
  assert.ok(kStates.every(([state]) => state in kShapes));
  assert.equal(kStates.length, 12);
});

test('units are numbered in one go, serials in their order', () => {
  assert.deepEqual(receiptBodies('lot', 'a', 14, 3, 'S1\n\n S2 ', ' scratched '), [
    { lot: 'lot', line: 'a', number: 14, serial: 'S1', condition: 'scratched' },
    { lot: 'lot', line: 'a', number: 15, serial: 'S2', condition: 'scratched' },
    { lot: 'lot', line: 'a', number: 16, condition: 'scratched' },
  ]);
  assert.deepEqual(serialList('a, b;c\n'), ['a', 'b', 'c']);
});

test('counts are whole and not below the least', () => {
  assert.deepEqual(['12', ' 3 ', '0', '1.5', '', '-1', 'x'].map((text) => wholeNumber(text, 1)), [12, 3, null, null, null, null, null]);
});

test('bins hold the whole mass between the quantiles, and none is both loss and gain', () => {
  const quantiles = [{ p: 0.1, value: -5 }, { p: 0.3, value: 0 }, { p: 0.5, value: 0.1 }, { p: 0.9, value: 10 }];
  const drawn = bins(quantiles, 20);
  assert.ok(Math.abs(drawn.reduce((sum, bin) => sum + bin.chance, 0) - 1) < 1e-9);
  assert.ok(drawn.every((bin) => bin.to <= 1e-9 || bin.from >= -1e-9));
  assert.deepEqual(bins([{ p: 0.5, value: 3 }], 20), []);
});

test('the chance of a loss is read between the quantiles', () => {
  const quantiles = [{ p: 0.1, value: -10 }, { p: 0.5, value: 10 }, { p: 0.9, value: 30 }];
  assert.ok(Math.abs((chanceBelow(quantiles, 0) ?? 0) - 0.3) < 1e-12);
  assert.deepEqual([chanceBelow(quantiles, -11), chanceBelow(quantiles, 30), chanceBelow([], 0)], [0, 1, null]);
});

test('a scale keeps order and stays inside the drawing', () => {
  const at = scale([-5, 0, 20], 100);
  assert.ok(at(-5) >= 0 && at(-5) < at(0) && at(0) < at(20) && at(20) <= 100);
  assert.ok(Number.isFinite(scale([3, 3], 100)(3)));
});

test('a wait fills up to its due time', () => {
  assert.deepEqual([dueShare(0, 100, 25), dueShare(0, 100, 150), dueShare(100, 100, 0), dueShare(50, 100, 10)], [0.25, 1, 1, 0]);
});
