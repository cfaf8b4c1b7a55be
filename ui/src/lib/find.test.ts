import assert from 'node:assert/strict';
import { test } from 'node:test';

import type { Found } from '../api';
import { choicesOf, meantBy } from './find';

const unit = (number: number, exact = false, hit = '') => ({
  id: `u${number}`, number, name: 'Pad X1', serial: `S-${number}`, exact, hit, state: { id: 'on-bench' as const, words: 'on the bench' },
});
const found = (units: Found['units'], lots: string[] = []): Found => ({ units, lots: lots.map((name) => ({ id: name, name })) });

test('a number or serial names its unit though others begin like it', () => {
  assert.equal(meantBy(found([unit(14, true), unit(145)])), 0);
  assert.equal(meantBy(found([unit(145), unit(146)])), null);
});

test('the same serial on two units is a choice; the only one found is meant', () => {
  assert.equal(meantBy(found([unit(1, true), unit(2, true)])), null);
  assert.equal(meantBy(found([unit(3, false, 'in the blue box')])), 0);
  assert.equal(meantBy(found([], ['Autumn'])), 0);
  assert.equal(meantBy(found([])), null);
});

test('a choice says what tells it from the others', () => {
  const [first, lot] = choicesOf(found([unit(3, false, 'in the blue box')], ['Autumn']));
  assert.deepEqual([first?.name, first?.about], ['3 Pad X1', 'S-3 · on the bench · in the blue box']);
  assert.equal(lot?.name, 'Lot Autumn');
});
