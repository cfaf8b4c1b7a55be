import assert from 'node:assert/strict';
import { test } from 'node:test';

import { actsInFields, boundAction, boundLetters, clash, costOf, keyName } from './bindings';
import { kStepLetters } from './keys';

test('a key has one name whatever Shift does; a keypad’s keys have their own', () => {
  assert.equal(keyName({ key: 'B', code: 'KeyB' }), 'b');
  assert.equal(keyName({ key: 'F13', code: 'F13' }), 'F13');
  assert.equal(keyName({ key: '+', code: 'NumpadAdd' }), 'NumpadAdd');
  assert.equal(keyName({ key: ' ', code: 'Space' }), 'Space');
  assert.equal(keyName({ key: 'Unidentified', code: 'F20' }), 'F20');
});

test('keys that are taken are refused, each with its reason', () => {
  assert.match(clash('3', 'accept', {}) ?? '', /Digits/);
  assert.match(clash('Enter', 'accept', {}) ?? '', /takes what is suggested/);
  assert.match(clash('z', 'photo', {}) ?? '', /undoes/);
  assert.match(clash('Shift', 'photo', {}) ?? '', /only changes others/);
  assert.match(clash('F13', 'photo', { undo: 'F13' }) ?? '', /already set for “Undo”/);
  assert.equal(clash('F13', 'undo', { undo: 'F13' }), null);
  assert.equal(clash('PageDown', 'accept', {}), null);
});

test('every key of the bench itself is refused; a step’s letter can be had, and its price is told', () => {
  for (const key of 'abcdefghijklmnopqrstuvwxyz') {
    assert.equal(clash(key, 'accept', {}) === null, kStepLetters.includes(key), key);
  }
  assert.match(costOf('k'), /No step has this letter/);
  assert.equal(costOf('F13'), '');
  assert.equal(boundLetters({ accept: 'k', undo: 'F13' }), 'k');
});

test('what a key does; inside text fields only keys that type nothing', () => {
  assert.equal(boundAction('F13', { undo: 'F13' }), 'undo');
  assert.equal(boundAction('F14', { undo: 'F13' }), null);
  assert.equal(boundAction('', { undo: '' }), null);
  assert.deepEqual(['F13', 'k', 'PageDown', 'MediaPlayPause'].map(actsInFields), [true, false, false, true]);
});
