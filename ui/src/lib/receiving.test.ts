import assert from 'node:assert/strict';
import { test } from 'node:test';

import {
  type ReceiveAct, type ReceiveKeys, beside, conditionParts, conditionText, identifiedBody, kNoKeys, receiveElapse, receivePress, serialTwin,
} from './receiving';

/** Presses keys with a pause before each, then waits. */
function typed(keys: readonly string[], pauseMs: number, waitMs = 1000): ReceiveAct[] {
  let state: ReceiveKeys = kNoKeys;
  const acts: ReceiveAct[] = [];
  let now = 1000;
  for (const key of keys) {
    now += pauseMs;
    const passed = receiveElapse(state, now);
    acts.push(...passed.acts);
    const step = receivePress(passed.state, key, now);
    acts.push(...step.acts);
    state = step.state;
  }
  acts.push(...receiveElapse(state, now + waitMs).acts);
  return acts;
}

test('a scanner fills the serial, with Enter at its end or without', () => {
  assert.deepEqual(typed([...'PH1-40211', 'Enter'], 5), [{ act: 'serial', text: 'PH1-40211' }]);
  assert.deepEqual(typed([...'PH1-40211'], 5), [{ act: 'serial', text: 'PH1-40211' }]);
  assert.deepEqual(typed([...'4006381333931', 'Enter'], 5), [{ act: 'serial', text: '4006381333931' }]);
});

test('a person\u2019s single keys are commands', () => {
  assert.deepEqual(typed(['1', '4', 'h'], 120), [{ act: 'look', index: 0 }, { act: 'look', index: 3 }, { act: 'letter', letter: 'h' }]);
  assert.deepEqual(typed(['Enter'], 120), [{ act: 'next' }]);
  assert.deepEqual(typed(['2', 'Enter'], 120), [{ act: 'look', index: 1 }, { act: 'next' }]);
  assert.deepEqual(typed(['Backspace'], 120), [{ act: 'back' }]);
  assert.deepEqual(typed(['Escape'], 120), [{ act: 'leave' }]);
});

test('a key, then a scan at once after it', () => {
  const acts = typed(['1'], 120, 0);
  assert.deepEqual(acts, []);
  let state = receivePress(kNoKeys, '1', 0).state;
  const all: ReceiveAct[] = [];
  let now = 200;
  for (const key of [...'AB-77', 'Enter']) {
    const step = receivePress(state, key, now);
    all.push(...step.acts);
    state = step.state;
    now += 4;
  }
  assert.deepEqual(all, [{ act: 'look', index: 0 }, { act: 'serial', text: 'AB-77' }]);
});

test('keys of others are left to them', () => {
  assert.equal(receivePress(kNoKeys, 'Tab', 0).taken, false);
  assert.equal(receivePress(kNoKeys, 'F5', 0).taken, false);
});

test('a condition is written and read back', () => {
  const text = conditionText(new Set([1, 0]), ' rattles, no cover ');
  assert.equal(text, 'scratched, dented, rattles, no cover');
  const back = conditionParts(text);
  assert.deepEqual([...back.looks].sort(), [0, 1]);
  assert.equal(back.words, 'rattles, no cover');
  assert.equal(conditionText(new Set(), ''), '');
});

const units = [
  { id: 'a', number: 14, serial: 'S-1', condition: '' },
  { id: 'b', number: 15, serial: '', condition: 'dented' },
];

test('only what changed is recorded', () => {
  const [first, second] = units;
  assert.ok(first && second);
  assert.equal(identifiedBody(first, 'S-1', ''), null);
  assert.deepEqual(identifiedBody(second, 'S-2', 'dented'), { serial: 'S-2' });
  assert.deepEqual(identifiedBody(second, '', ''), { condition: '' });
});

test('a serial that another unit bears is noticed', () => {
  const [first, second] = units;
  assert.ok(first && second);
  assert.equal(serialTwin(units, second, ' s-1')?.number, 14);
  assert.equal(serialTwin(units, first, 'S-1'), undefined);
  assert.equal(serialTwin(units, second, ''), undefined);
});

test('the unit beside another', () => {
  assert.equal(beside(units, 14, 1)?.number, 15);
  assert.equal(beside(units, 15, 1), undefined);
  assert.equal(beside(units, 15, -1)?.number, 14);
});
