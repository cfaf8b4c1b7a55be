import assert from 'node:assert/strict';
import { test } from 'node:test';

import { type KeyAct, type KeyState, elapse, kBurstMs, kHoldMs, kHoldReadingMs, kIdle, kQuickMs, kStepLetters, kWaitMs, press } from './keys';

const kCodes: Record<string, string> = { '#': 'Digit3', '*': 'Digit8', '/': 'Slash' };
const kPadCodes: Record<string, string> = { '*': 'NumpadMultiply', '/': 'NumpadDivide', '+': 'NumpadAdd', '-': 'NumpadSubtract' };

/** Plays presses ("key" or "Shift+key", "Pad/" for a keypad's sign) at times and collects what they did; time runs on in between as it does on the screen. */
function play(presses: readonly (readonly [number, string])[], digits = true, until = 20_000, holdMs = kHoldMs): KeyAct[] {
  const acts: KeyAct[] = [];
  let state: KeyState = kIdle;
  const take = (step: { state: KeyState; act: KeyAct | null }) => {
    state = step.state;
    if (step.act) acts.push(step.act);
  };
  let at = 0;
  for (const [time, name] of [...presses, [until, ''] as const]) {
    for (; at < time; at += 5) take(elapse(state, at, { digits, holdMs }));
    if (name === '') break;
    const shift = name.startsWith('Shift+');
    const pad = name.startsWith('Pad');
    const key = shift ? name.slice(6) : pad ? name.slice(3) : name;
    const code = /^\d$/.test(key) ? `Digit${key}` : (pad ? kPadCodes : kCodes)[key] ?? key;
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
  assert.deepEqual(play([[0, '1'], [220, '4'], [500, 'Enter']]), [{ act: 'open', number: '14', at: '' }]);
  assert.deepEqual(play([[0, '7'], [kHoldMs - 50, 'Enter']]), [{ act: 'open', number: '7', at: '' }]);
});

test('unit in hand to finding recorded: 14 Enter 3 takes less than two seconds', () => {
  const acts = play([[0, '1'], [200, '4'], [450, 'Enter'], [900, '3']], true, 1999);
  assert.deepEqual(acts, [{ act: 'open', number: '14', at: '' }, { act: 'choose', digit: 3, notSure: false }]);
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
  assert.deepEqual(play([...scan('0042'), [40, 'Enter']]), [{ act: 'open', number: '0042', at: '' }]);
});

test('letters and signs that a person types have their own meaning', () => {
  assert.deepEqual(play([[0, 'b'], [kBurstMs + 60, 'z'], [300, '/'], [500, '+'], [700, '-'], [900, '?']]), [
    { act: 'letter', letter: 'b' }, { act: 'undo' }, { act: 'find' }, { act: 'move', by: 1 }, { act: 'move', by: -1 }, { act: 'help' },
  ]);
});

test('a keypad has undo and what else can be recorded', () => {
  assert.deepEqual(play([[0, 'Pad/'], [300, 'Pad*'], [600, 'Pad+'], [900, 'Pad-']]), [
    { act: 'undo' }, { act: 'record' }, { act: 'move', by: 1 }, { act: 'move', by: -1 },
  ]);
});

test('after the star a digit is not held, so that Enter may follow at once', () => {
  assert.deepEqual(play([[0, 'Pad*'], [200, '1'], [200 + kBurstMs + 55, 'Enter']]).map(({ act }) => act), ['record', 'choose', 'enter']);
});

test('another step takes as many keys as the advised one from unit in hand: its letter stands for Enter', () => {
  const road = (key: string) => [[0, '1'], [200, '4'], [450, key], [900, '3']] as const;
  assert.equal(road('Enter').length, road('k').length);
  assert.deepEqual(play(road('k'), true, 1000), [{ act: 'open', number: '14', at: 'k' }, { act: 'choose', digit: 3, notSure: false }]);
});

test('on the unit itself a letter and a digit record without a hold, so no later than the advised step’s digit alone', () => {
  const letterAndDigit = play([[0, 'k'], [200, '3']], true, 200 + kBurstMs + 5);
  assert.deepEqual(letterAndDigit, [{ act: 'letter', letter: 'k' }, { act: 'choose', digit: 3, notSure: false }]);
  assert.deepEqual(play([[0, '3']], true, 200 + kBurstMs + 5), []);
  // Long after the letter a digit may be a unit's number again.
  const late = kQuickMs + 500;
  assert.deepEqual(play([[0, 'k'], [late, '1'], [late + 200, '4'], [late + 400, 'Enter']]),
    [{ act: 'letter', letter: 'k' }, { act: 'open', number: '14', at: '' }]);
});

test('can’t tell and not sure of another step: the same keys after its letter', () => {
  assert.deepEqual(play([[0, 'k'], [200, '0']]).at(1), { act: 'choose', digit: 0, notSure: false });
  assert.deepEqual(play([[0, 'k'], [200, '.'], [400, '3']]).at(1), { act: 'choose', digit: 3, notSure: true });
  assert.deepEqual(play([[0, '.'], [200, 'k'], [400, '3']]).at(1), { act: 'choose', digit: 3, notSure: true });
  assert.deepEqual(play([[0, 'Shift+K'], [200, '3']]).at(1), { act: 'choose', digit: 3, notSure: true });
});

test('on a keypad a unit opens at another step with the key that stands for Enter', () => {
  const road = (sign: string) => play([[0, '1'], [200, '4'], [450, sign], [900, '3']]);
  for (const [sign, at] of [['Enter', ''], ['Pad+', '+'], ['Pad-', '-'], ['Pad*', '*']] as const) {
    assert.deepEqual(road(sign), [{ act: 'open', number: '14', at }, { act: 'choose', digit: 3, notSure: false }]);
  }
  // Long after the digits, + is the next step of the list again.
  assert.deepEqual(play([[0, '1'], [200, '4'], [kWaitMs + 500, '+']]), [{ act: 'move', by: 1 }]);
});

test('a number with a point is a reading of the step that is shown, whatever its digits', () => {
  const keys = (text: string, gap = 180) => [...text].map((sign, at) => [at * gap, sign] as const);
  assert.deepEqual(play([...keys('0.412'), [2000, 'Enter']]), [{ act: 'reading', text: '0.412', notSure: false }]);
  assert.deepEqual(play([...keys('4,7k'), [2000, 'Enter']]), [{ act: 'reading', text: '4,7k', notSure: false }]);
  assert.deepEqual(play([...keys('412.'), [2000, 'Enter']]), [{ act: 'reading', text: '412.', notSure: false }]);
  assert.deepEqual(play([[0, '.'], ...keys('3.7', 180).map(([at, key]) => [at + 200, key] as const), [2000, 'Enter']]),
    [{ act: 'reading', text: '3.7', notSure: true }]);
  // Without the point it is a unit's number, as everywhere.
  assert.deepEqual(play([...keys('412'), [2000, 'Enter']]), [{ act: 'open', number: '412', at: '' }]);
});

test('where a reading can be typed the first digit waits longer for its point', () => {
  const slow = [[0, '0'], [kHoldReadingMs - 100, '.'], [1200, '4'], [1500, 'Enter']] as const;
  assert.deepEqual(play(slow, true, 6000, kHoldReadingMs), [{ act: 'reading', text: '0.4', notSure: false }]);
  assert.deepEqual(play([[0, '2']], true, 2000, kHoldReadingMs), [{ act: 'choose', digit: 2, notSure: false }]);
});

test('minutes: a number and the stroke that minutes are written with, or the keypad’s', () => {
  assert.deepEqual(play([[0, '1'], [200, '2'], [400, '\'']]), [{ act: 'minutes', text: '12' }]);
  assert.deepEqual(play([[0, '2'], [200, '.'], [400, '5'], [600, 'Pad/']]), [{ act: 'minutes', text: '2.5' }]);
});

test('Backspace takes back what was typed last', () => {
  assert.deepEqual(play([[0, '1'], [200, '5'], [400, 'Backspace'], [600, '4'], [800, 'Enter']]), [{ act: 'open', number: '14', at: '' }]);
  assert.deepEqual(play([[0, '1'], [200, 'Backspace']]), []);
});

test('where there is nothing to choose, digits wait for Enter and are forgotten', () => {
  assert.deepEqual(play([[0, '5'], [2000, 'Enter']], false), [{ act: 'open', number: '5', at: '' }]);
  assert.deepEqual(play([[0, '5'], [kWaitMs + 200, '6'], [kWaitMs + 600, 'Enter']], false), [{ act: 'open', number: '6', at: '' }]);
  assert.deepEqual(play([[0, '5']], false), []);
});

test('two digits without Enter record nothing', () => {
  assert.deepEqual(play([[0, '1'], [200, '2']]), []);
});

test('letters of steps are none that the bench or the ways to stop take', () => {
  assert.ok(!/[filnptvxzwads]/.test(kStepLetters));
  assert.equal(new Set(kStepLetters).size, kStepLetters.length);
});
