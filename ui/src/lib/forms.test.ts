import assert from 'node:assert/strict';
import { test } from 'node:test';

import type { UnitView } from '../api';
import { type Values, broughtLines, formOf, formProblems, reader } from './forms';

const usd = (minor: number) => ({ minor, currency: 'USD' });
const view = {
  unit: { currency: 'USD', offered: null, grade: null, serial: '', condition: '' },
  grades: [{ id: 'a', name: 'A' }],
  belief: null,
  suggested: { working_price: usd(9200), as_is_price: usd(1400), fee_rate: 0.13, postage: usd(750) },
  money: { income: usd(9200), cost_share: usd(1250), parts: usd(950), costs: usd(0), fees: usd(1196), postage: usd(750), refunds: usd(0), minutes: 42 },
} as unknown as UnitView;
const now = new Date(2026, 10, 25, 9, 0);

function made(kind: string, changed: Values = {}, asIs = false) {
  const form = formOf(kind, view, now, asIs);
  assert.ok(form !== null, kind);
  const values: Values = { ...Object.fromEntries(form.fields.map((field) => [field.id, field.start])), ...changed };
  return { problems: formProblems(form, values, 'USD'), body: form.make(reader(values, 'USD')).body };
}

test('a sale stands prefilled: price, fee by its rate, postage', () => {
  assert.deepEqual(made('sold'), {
    problems: {}, body: { as: 'working', price: usd(9200), fee: usd(1196), postage: usd(750), minutes: 10 },
  });
  assert.deepEqual(made('sold', { minutes: '' }, true).body, { as: 'as-is', price: usd(1400), fee: usd(182), postage: usd(750) });
});

test('the price follows how it is sold and the fee the price, but not over what was typed', () => {
  const form = formOf('sold', view, now, false);
  const start: Values = Object.fromEntries((form?.fields ?? []).map((field) => [field.id, field.start]));
  const follow = (before: Values, changed: Values) => form?.follow?.(before, { ...before, ...changed }) ?? {};
  const asIs = follow(start, { as: 'as-is' });
  assert.deepEqual([asIs.price, asIs.fee], ['14.00', '1.82']);
  const typed = follow(asIs, { price: '20' });
  assert.equal(typed.fee, '2.60');
  assert.equal(follow(typed, { as: 'working' }).price, '20');
  assert.equal(follow({ ...typed, fee: '3.00' }, { price: '30' }).fee, '3.00');
});

test('bodies have the members of docs/journal.md, optional ones only when given', () => {
  assert.deepEqual(made('released').body, {});
  assert.deepEqual(made('offered', { where: 'shop' }).body, { price: usd(9200), where: 'shop' });
  assert.deepEqual(made('held-aside', { reason: 'locked', check: 'account' }).body, { reason: 'locked', check: 'account', date: '2026-11-25' });
  assert.deepEqual(made('scrapped', { proceeds: '-2' }).body, { proceeds: usd(-200) });
  assert.deepEqual(made('wait-started', { what: 'drying' }).body, { what: 'drying', due: new Date(2026, 10, 25, 10, 0).toISOString() });
});

test('what is missing or no amount is said at its field', () => {
  assert.deepEqual(Object.keys(made('held-aside').problems), ['reason', 'check']);
  assert.deepEqual(Object.keys(made('sold', { price: 'much', fee: '' }).problems), ['price', 'fee']);
  assert.deepEqual(Object.keys(made('mended', { minutes: '-1' }).problems), ['minutes']);
});

test('kinds without a form have none', () => {
  assert.equal(formOf('unit-received', view, now, false), null);
});

test('what a unit brought sums up to what was realised', () => {
  const lines = broughtLines(view);
  assert.deepEqual(lines.map(([name]) => name), ['Income', 'Its share of the lot', 'Parts', 'Fees', 'Postage']);
  assert.equal(lines.reduce((sum, [, amount]) => sum + amount.minor, 0), 9200 - 1250 - 950 - 1196 - 750);
});
