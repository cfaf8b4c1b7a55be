import assert from 'node:assert/strict';
import { test } from 'node:test';

import { type KeyAct, type KeyState, elapse, kBurstMs, kHoldMs, kIdle, kOutcomeLetters, kWaitMs, press } from './keys';

/** Plays presses ("key" or "Shift+key") at times and collects what they did; time runs on in between as it does on the screen. */
function play(presses: readonly (readonly [number, string])[], choosing = true, until = 20_000): KeyAct[] {
  const acts: KeyAct[] = [];
  let state: KeyState = kIdle;
  const take = (step: { state: KeyState; act: KeyAct | null }) => {
    state = step.state;
    if (step.act) acts.push(step.act);
  };
  let at = 0;
  for (const [time, name] of [...presses, [until, ''] as const]) {
    for (; at < time; at += 5) take(elapse(state, at, choosing));
    if (name === '') break;
    const shift = name.startsWith('Shift+');
    const key = shift ? name.slice(6) : name;
    const code = /^\d$/.test(key) ? `Digit${key}` : key === '#' ? 'Digit3' : key;
    take(press(state, { key, code, shift }, time));
  }
  return acts;
}

const scan = (text: string, from = 0) => [...text].map((sign, index) => [from + index * 8, sign] as const);

test('one digit chooses the outcome', () => {
  assert.deepEqual(play([[0, '3']]), [{ act: 'choose', digit: 3, notSure: false }]);
  assert.deepEqual(play([[0, '0']]), [{ act: 'choose', digit: 0, notSure: false }]);
});

test('a number and Enter opens the unit and records nothing on the one shown', () => {
  assert.deepEqual(play([[0, '1'], [220, '4'], [500, 'Enter']]), [{ act: 'open', number: '14', step: 0 }]);
  assert.deepEqual(play([[0, '7'], [kHoldMs - 50, 'Enter']]), [{ act: 'open', number: '7', step: 0 }]);
});

test('unit in hand to finding recorded: 14 Enter 3 takes less than two seconds', () => {
  const acts = play([[0, '1'], [200, '4'], [450, 'Enter'], [900, '3']], true, 1999);
  assert.deepEqual(acts, [{ act: 'open', number: '14', step: 0 }, { act: 'choose', digit: 3, notSure: false }]);
});

test('the point before a digit, or Shift with it, marks it as not sure', () => {
  assert.deepEqual(play([[0, '.'], [200, '2']]), [{ act: 'choose', digit: 2, notSure: true }]);
  assert.deepEqual(play([[0, 'Shift+#']]), [{ act: 'choose', digit: 3, notSure: true }]);
  assert.deepEqual(play([[0, '.'], [200, '.'], [400, '2']]), [{ act: 'choose', digit: 2, notSure: false }]);
});

test('not sure is for one outcome only', () => {
  assert.deepEqual(play([[0, '.'], [100, '2'], [1000, '2']]).map((act) => act.act === 'choose' && act.notSure), [true, false]);
});

test('a scanned serial with letters and a z in it is a scan, nothing else', () => {
  assert.deepEqual(play([...scan('SNz3/77'), [70, 'Enter']]), [{ act: 'scan', text: 'SNz3/77' }]);
  assert.deepEqual(play([...scan('0042'), [40, 'Enter']]), [{ act: 'open', number: '0042', step: 0 }]);
});

test('letters and signs that a person types have their own meaning', () => {
  assert.deepEqual(play([[0, 'b'], [kBurstMs + 60, 'z'], [300, '/'], [500, '+'], [700, '-'], [900, '?']]), [
    { act: 'letter', letter: 'b', notSure: false }, { act: 'undo' }, { act: 'find' }, { act: 'move', by: 1 }, { act: 'move', by: -1 }, { act: 'help' },
  ]);
});

test('an outcome of another step takes as many keys as one of the advised step: one', () => {
  assert.deepEqual(play([[0, 'c']]), [{ act: 'letter', letter: 'c', notSure: false }]);
  assert.deepEqual(play([[0, '.'], [150, 'c']]), [{ act: 'letter', letter: 'c', notSure: true }]);
  assert.deepEqual(play([[0, 'Shift+C']]), [{ act: 'letter', letter: 'c', notSure: true }]);
});

test('on a keypad a unit opens at another step with the key that stands for Enter', () => {
  const road = (sign: string) => play([[0, '1'], [200, '4'], [450, sign], [900, '3']]);
  for (const [sign, step] of [['Enter', 0], ['+', 1], ['-', 2], ['*', 3]] as const) {
    assert.deepEqual(road(sign), [{ act: 'open', number: '14', step }, { act: 'choose', digit: 3, notSure: false }]);
  }
  // Long after the digits, + is the next step of the list again.
  assert.deepEqual(play([[0, '1'], [200, '4'], [kWaitMs + 500, '+']]), [{ act: 'move', by: 1 }]);
});

test('where there is nothing to choose, digits wait for Enter and are forgotten', () => {
  assert.deepEqual(play([[0, '5'], [2000, 'Enter']], false), [{ act: 'open', number: '5', step: 0 }]);
  assert.deepEqual(play([[0, '5'], [kWaitMs + 200, '6'], [kWaitMs + 600, 'Enter']], false), [{ act: 'open', number: '6', step: 0 }]);
  assert.deepEqual(play([[0, '5']], false), []);
});

test('two digits without Enter record nothing', () => {
  assert.deepEqual(play([[0, '1'], [200, '2']]), []);
});

test('letters of outcomes are none that the bench or the ways to stop take', () => {
  assert.ok(!/[fnltvzwads]/.test(kOutcomeLetters));
  assert.equal(new Set(kOutcomeLetters).size, kOutcomeLetters.length);
});
