import assert from 'node:assert/strict';
import { test } from 'node:test';

import { type Edit, type Table, edited, idFrom, itemPath, pointerOf, valueAt, withEdit } from './profile-tree';

const tree: Table = {
  device: { id: 'lamp' },
  fault: [{ id: 'worn', probability: 0.1, causes: { flat: 0.2 } }, { id: 'dead', probability: 0.05 }],
  check: [{ id: 'look', outcomes: ['good', 'bad'], rules: [{ present: ['worn'], gives: { bad: 1 } }, { present: ['dead'], gives: { bad: 1 } }] }],
};
const after = (edit: Edit) => edited(tree, edit);

test('an edit changes its place and leaves the tree it was given', () => {
  const next = after({ edit: 'set', path: ['fault', 'worn', 'probability'], value: 0.3 });
  assert.equal(valueAt(next!, ['fault', 0, 'probability']), 0.3);
  assert.equal(valueAt(tree, ['fault', 0, 'probability']), 0.1);
});

test('tables that are missing above a value are made', () => {
  assert.deepEqual(valueAt(after({ edit: 'set', path: ['meter', 'fast_from'], value: 1.5 })!, ['meter']), { fast_from: 1.5 });
  assert.deepEqual(valueAt(after({ edit: 'set', path: ['fault', 'dead', 'causes', 'flat'], value: 0.5 })!, ['fault', 'dead', 'causes']), { flat: 0.5 });
});

test('items are inserted, moved and taken out', () => {
  const rules = (edit: Edit) => (valueAt(after(edit)!, ['check', 'look', 'rules']) as Table[]).map((rule) => JSON.stringify(rule.present));
  const path = ['check', 'look', 'rules'];
  assert.deepEqual(rules({ edit: 'move', path: [...path, 0], at: 1 }), ['["dead"]', '["worn"]']);
  assert.deepEqual(rules({ edit: 'remove', path: [...path, 0] }), ['["dead"]']);
  assert.deepEqual(rules({ edit: 'insert', path, at: 1, value: { present: ['both'] } }), ['["worn"]', '["both"]', '["dead"]']);
  assert.deepEqual(valueAt(after({ edit: 'insert', path: ['grade'], value: { id: 'a' } })!, ['grade']), [{ id: 'a' }]);
});

test('a path that leads nowhere changes nothing', () => {
  assert.equal(after({ edit: 'remove', path: ['fault', 'gone'] }), null);
  assert.equal(after({ edit: 'remove', path: ['fault', 'dead', 'causes'] }), null);
  assert.equal(after({ edit: 'insert', path: ['device', 'id'], value: 1 }), null);
});

test('pointers are those of the server', () => {
  assert.equal(pointerOf(tree, ['check', 'look', 'rules', 1, 'gives', 'bad']), 'check[0].rules[1].gives.bad');
  assert.equal(pointerOf(tree, ['fault', 'dead']), 'fault[1]');
  assert.equal(pointerOf(tree, ['value', 'postage']), 'value.postage');
});

test('an item is named by its id where that is its own', () => {
  assert.deepEqual(itemPath(tree, 'fault', 1), ['fault', 'dead']);
  assert.deepEqual(itemPath({ fault: [{ id: 'x' }, { id: 'x' }, {}] }, 'fault', 1), ['fault', 1]);
});

test('typing on in one place stays one edit, unless it is on its way', () => {
  const set = (value: number): Edit => ({ edit: 'set', path: ['a'], value });
  assert.deepEqual(withEdit([set(1)], set(2)), [set(2)]);
  assert.deepEqual(withEdit([set(1)], set(2), 1), [set(1), set(2)]);
  assert.equal(withEdit([set(1)], { edit: 'remove', path: ['a'] }).length, 2);
});

test('an id is made of a name and is free', () => {
  assert.equal(idFrom('Port torn off!', [], 'fault'), 'port-torn-off');
  assert.equal(idFrom('Écran fissuré', ['ecran-fissure'], 'fault'), 'ecran-fissure-2');
  assert.equal(idFrom('…', [], 'fault'), 'fault');
});
