import assert from 'node:assert/strict';
import { test } from 'node:test';

import { type Table } from './profile-tree';
import { checkSentences, faultRate, ladder, originWords, repairSentences } from './profile-words';
import { renamed, renamedOutcome, withoutOutcome } from './profile-rename';
import { newCheck, newFault, newRepair, rowWith } from './profile-new';
import { edited } from './profile-tree';
import { lineDiff, changedLines } from './line-diff';
import { missingKey, placeWords, plainWords } from './profile-problems';
import { spotOf } from './profile-fields';

const tree: Table = {
  device: { id: 'lamp', numbers_from: 'invented', test_check: 'look' },
  value: { working_requires: ['look=good'] },
  assembly: [{ id: 'bulb', name: 'Bulb' }],
  access: [{ id: 'closed', name: 'Closed' }, { id: 'open', name: 'Open', from: 'closed', open_minutes: 2, close_minutes: 3 }, { id: 'apart', from: 'open' }],
  history: [{ id: 'wet', name: 'Liquid got in', probability: 0.2 }],
  fault: [
    { id: 'worn', name: 'Bulb worn', assembly: 'bulb', probability: 0.1, causes: { wet: 0.5 } },
    { id: 'loose', name: 'Wire loose', assembly: 'bulb', probability: 0.02 },
  ],
  check: [{
    id: 'look', name: 'Look at it', at: ['closed'], outcomes: ['good', 'bad'], outcome_names: { good: 'All well', bad: 'Dark' },
    rules: [{ present: ['worn|loose', 'wet'], gives: { bad: 0.9, good: 0.1 } }, { present: ['loose'], gives: { bad: 0.6, good: 0.4 } }],
    otherwise: { good: 1 }, requires: ['look=good|bad'], may_cause: [{ fault: 'loose', probability: 0.01, given: ['wet'] }],
    reading: [{ outcome: 'bad', max: 1 }],
  }],
  repair: [{ id: 'swap', name: 'New bulb', fixes: { worn: 0.95 }, replaces: 'bulb', parts: [{ sku: 'bulb-1', count: 2 }], may_cause: [{ fault: 'loose', probability: 0.05 }], max_tries: 2 }],
  test: [{ id: 'light', reveals: ['worn'] }],
};

const made = (edits: readonly Parameters<typeof edited>[1][]) => edits.reduce<Table>((at, edit) => {
  const next = edited(at, edit);
  assert.ok(next !== null, JSON.stringify(edit));
  return next;
}, tree);

test('a check reads in sentences, the first that applies first', () => {
  assert.deepEqual(checkSentences(tree, (tree.check as Table[])[0]!), [
    'If “Bulb worn” or “Wire loose” and “Liquid got in” it shows: Dark (90 %) or All well (10 %).',
    'Else, if “Wire loose” it shows: Dark (60 %) or All well (40 %).',
    'Otherwise it shows: All well (100 %).',
    'It is done with the unit closed.',
    'Only after “Look at it” showed All well or Dark.',
    'It may cause “Wire loose” (1 %), if “Liquid got in”.',
  ]);
});

test('a repair reads in sentences', () => {
  assert.deepEqual(repairSentences(tree, (tree.repair as Table[])[0]!), [
    'It mends “Bulb worn” (95 %).', 'A new one takes the place of “Bulb”.', 'It takes 2 × bulb-1.', 'It may cause “Wire loose” (5 %).', 'It is tried at most 2 times.',
  ]);
});

test('how often a fault is there counts its histories', () => {
  // 1 − 0.9 · (1 − 0.2 · 0.5)
  assert.ok(Math.abs(faultRate(tree, (tree.fault as Table[])[0]!) - 0.19) < 1e-12);
});

test('the levels stand in their order of opening, and a circle does not hang', () => {
  assert.deepEqual(ladder(tree).map(({ id, depth }) => `${id} ${depth}`), ['closed 0', 'open 1', 'apart 2']);
  assert.equal(ladder({ access: [{ id: 'a' }, { id: 'b', from: 'c' }, { id: 'c', from: 'b' }] }).length, 3);
});

test('numbers say where they come from', () => {
  assert.equal(originWords(tree), 'invented');
  assert.equal(originWords(tree, { numbers_from: 'memory' }), 'from memory');
});

test('a new id goes everywhere', () => {
  const places = (list: string, index: number, from: string) => {
    const text = JSON.stringify(made(renamed(tree, list, index, 'fresh-id')));
    assert.ok(!new RegExp(`["|]${from}["|=]`).test(text), `${from} is left in ${text}`);
    return text.split('fresh-id').length - 1;
  };
  assert.equal(places('fault', 0, 'worn'), 4);
  assert.equal(places('fault', 1, 'loose'), 5);
  assert.equal(places('history', 0, 'wet'), 4);
  assert.equal(places('assembly', 0, 'bulb'), 4);
  assert.equal(places('access', 0, 'closed'), 3);
  assert.equal(places('check', 0, 'look'), 4);
});

test('a new id of an outcome goes everywhere, and one taken out leaves no share', () => {
  const after = JSON.stringify(made(renamedOutcome(tree, 0, 'bad', 'dark')));
  assert.ok(!after.includes('"bad"') && !after.includes('|bad'), after);
  const without = made(withoutOutcome(tree, 0, 'good')).check as Table[];
  assert.deepEqual(without[0]!.outcomes, ['bad']);
  assert.deepEqual(without[0]!.otherwise, {});
});

test('a row with a new share sums to 1 and keeps the proportions of the rest', () => {
  const row = rowWith('c', 0.8, { a: 0.9, b: 0.1, c: 0 }, ['a', 'b', 'c']);
  assert.deepEqual(row, { c: 0.8, a: 0.18, b: 0.02 });
  assert.deepEqual(rowWith('a', 0.8, { a: 1 }, ['a', 'b', 'd']), { a: 0.8, b: 0.1, d: 0.1 });
});

test('what is added from the bench is from memory and can be told apart', () => {
  const fault = newFault(tree, { name: 'Switch stuck', assembly: 'bulb', often: 'some', check: 'look', outcome: 'bad' }, 'why');
  const next = made(fault.edits);
  assert.deepEqual((next.fault as Table[])[2], { id: 'switch-stuck', name: 'Switch stuck', assembly: 'bulb', probability: 0.05, weight: 2, numbers_from: 'memory' });
  assert.deepEqual(((next.check as Table[])[0]!.rules as Table[])[2], { present: ['switch-stuck'], gives: { bad: 0.8, good: 0.2 } });
  const check = newCheck(tree, { name: 'Shake it', minutes: '1,5', at: 'open', fault: 'loose', good: 'Silent', bad: 'Rattles' }, 'why');
  assert.deepEqual((made(check.edits).check as Table[])[1], {
    id: 'shake-it', name: 'Shake it', at: ['open'], minutes: 1.5, outcomes: ['silent', 'rattles'], outcome_names: { silent: 'Silent', rattles: 'Rattles' },
    rules: [{ present: ['loose'], gives: { rattles: 0.85, silent: 0.15 } }], otherwise: { silent: 0.95, rattles: 0.05 }, weight: 2, numbers_from: 'memory',
  });
  const repair = newRepair(tree, { name: 'Solder the wire', minutes: '4', at: '', fault: 'loose', sku: 'wire', price: '0.2' }, 'why');
  assert.deepEqual((made(repair.edits).repair as Table[])[1], {
    id: 'solder-the-wire', name: 'Solder the wire', minutes: 4, parts: [{ sku: 'wire', price: 0.2 }], fixes: { loose: 0.85 }, weight: 2, numbers_from: 'memory',
  });
});

test('problems are said where they are, in the words of the forms', () => {
  assert.equal(missingKey({ what: 'the key "name" is missing', pointer: 'fault[2]' }), 'fault[2].name');
  assert.equal(missingKey({ what: 'the table [bench] is missing', pointer: '' }), 'bench');
  assert.deepEqual(spotOf('check[4].otherwise.good'), { section: 'checks', table: 'check', index: 4, field: 'rules' });
  assert.equal(spotOf(''), null);
  assert.equal(placeWords(tree, 'check[0].rules[1].gives'), 'Check “Look at it”, rule 2');
  assert.equal(placeWords(tree, 'value.postage'), 'What it is worth, Postage');
  assert.equal(plainWords({ what: 'the probabilities of this row sum to 0.97, not to 1' }).what, 'These chances make 97 %, not 100 %.');
});

test('the difference of two texts is their changed lines', () => {
  assert.deepEqual(lineDiff('a\nb\nc', 'a\nx\nc').map(({ kind, text }) => `${kind} ${text}`), ['out b', 'in x']);
  assert.deepEqual(lineDiff('a\nb\nc\nd', 'a\nc\nd\ne\nd').map(({ kind, text }) => `${kind} ${text}`), ['out b', 'same c', 'in d', 'in e']);
  assert.deepEqual(lineDiff('same', 'same'), []);
  assert.deepEqual(changedLines(lineDiff('a\n1\n2\n3\n4\nb', 'x\n1\n2\n3\n4\ny')).map((line) => line?.text ?? '…'), ['a', 'x', '1', '…', '4', 'b', 'y']);
});
