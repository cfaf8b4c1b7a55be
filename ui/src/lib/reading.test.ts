import assert from 'node:assert/strict';
import { test } from 'node:test';

import { parseReading } from './reading';

const value = (text: string, unit: string) => {
  const read = parseReading(text, unit);
  return 'value' in read ? read.value : read.problem;
};

test('a plain number is in the unit of the check', () => {
  assert.equal(value('0.412', 'V'), 0.412);
  assert.equal(value('0,412', 'V'), 0.412);
  assert.equal(value('412.', 'ohm'), 412);
});

test('prefixes of the SI (BIPM, SI Brochure, 9th edition, table 7) on ohms, volts and amperes', () => {
  assert.equal(value('4.7k', 'ohm'), 4700);
  assert.equal(value('1.0M', 'ohm'), 1e6);
  assert.equal(value('412.m', 'V'), 0.412);
  assert.equal(value('412.mV', 'V'), 0.412);
  assert.equal(value('150.mA', 'A'), 0.15);
  assert.equal(value('12.3u', 'A'), 12.3e-6);
});

test('the unit itself may stand there, another one may not', () => {
  assert.equal(value('3.7v', 'V'), 3.7);
  assert.equal(value('12.0o', 'ohm'), 12);
  assert.match(String(value('3.7v', 'ohm')), /read in ohm/);
  assert.match(String(value('5.0m', '% lost')), /read in % lost/);
  assert.match(String(value('x', 'V')), /such as 0\.412/);
});
