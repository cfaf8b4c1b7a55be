import assert from 'node:assert/strict';
import { test } from 'node:test';

import {
  amountText, clock, exactMoney, fromNow, minutes, number, parseMoney, parseNumber, percent, when, wholeMoney,
} from './format';

test('numbers are grouped by a thin space and carry no empty decimals', () => {
  assert.equal(number(1234567.5), '1\u202f234\u202f567.5');
  assert.equal(number(2, 2), '2');
  assert.equal(number(-0.04), '0');
  assert.equal(number(-3.25, 2), '\u22123.25');
  assert.equal(number(NaN), '–');
});

test('money is never shortened', () => {
  assert.equal(exactMoney({ minor: 125000, currency: 'USD' }), '1\u202f250.00 USD');
  assert.equal(exactMoney({ minor: -5, currency: 'EUR' }), '\u22120.05 EUR');
  // ISO 4217: the yen has no minor unit.
  assert.equal(exactMoney({ minor: 1250, currency: 'JPY' }), '1\u202f250 JPY');
  assert.equal(wholeMoney(-0.4, 'USD'), '0 USD');
  assert.equal(wholeMoney(12345.6, 'USD'), '12\u202f346 USD');
});

test('typed amounts read back as they were shown', () => {
  for (const minor of [0, 5, 1999, -1250, 123456789]) {
    assert.deepEqual(parseMoney(amountText({ minor, currency: 'USD' }), 'USD'), { minor, currency: 'USD' });
  }
  assert.deepEqual(parseMoney('12,5', 'USD'), { minor: 1250, currency: 'USD' });
  assert.deepEqual(parseMoney('1 200', 'USD'), { minor: 120000, currency: 'USD' });
});

test('what is no amount, or finer than the currency, is not taken', () => {
  for (const text of ['', 'ten', '1.2.3', '12.345', '1e3', '-']) assert.equal(parseMoney(text, 'USD'), null, text);
  for (const text of ['', 'a', '1e5', '.']) assert.equal(parseNumber(text), null, text);
  assert.equal(parseNumber('4,12'), 4.12);
});

test('minutes become hours from sixty on', () => {
  assert.equal(minutes(1.5), '1.5 min');
  assert.equal(minutes(12.4), '12 min');
  assert.equal(minutes(75), '1 h 15 min');
  assert.equal(minutes(1440), '24 h');
});

test('percentages keep a decimal only near the ends', () => {
  assert.equal(percent(0.764), '76 %');
  assert.equal(percent(0.0342), '3.4 %');
  assert.equal(percent(0.05), '5 %');
  assert.equal(percent(0.0042), '0.4 %');
  assert.equal(percent(0.996), '99.6 %');
  assert.equal(percent(0.0000004), '<0.1 %');
  assert.equal(percent(0.9999999), '>99.9 %');
  assert.equal(percent(1), '100 %');
});

test('times say no more than is needed', () => {
  const now = new Date(2026, 10, 25, 12, 0);
  assert.equal(when(new Date(2026, 10, 25, 9, 14).toISOString(), now), '09:14');
  assert.equal(when(new Date(2026, 10, 24, 9, 14).toISOString(), now), '24 Nov 09:14');
  assert.equal(when(new Date(2025, 10, 24, 9, 14).toISOString(), now), '24 Nov 2025 09:14');
  assert.equal(when('soon', now), 'soon');
  assert.equal(fromNow(new Date(2026, 10, 25, 14, 10).toISOString(), now), 'in 2 h 10 min');
  assert.equal(fromNow(new Date(2026, 10, 25, 11, 48).toISOString(), now), '12 min ago');
  assert.equal(clock(95), '1:35');
  assert.equal(clock(3725), '1:02:05');
});
