import assert from 'node:assert/strict';
import { test } from 'node:test';

import { type Aim, goalOf, isPhotoFile, photoWords, sizeProblem } from './photos';

const thirteen = { id: 'u13', number: 13 };
const fourteen = { id: 'u14', number: 14 };
const seen = (...units: { id: string; number: number }[]) =>
  ({ labels: units.map((unit) => String(unit.number)), units: units.map((unit) => ({ ...unit, label: String(unit.number) })) });
const atBench = (open: typeof thirteen | null): Aim => ({ to: 'label', bench: 'bench-1', open });

test('the label in the picture wins over the bench, and the difference is said', () => {
  assert.deepEqual(goalOf(atBench(fourteen), seen(thirteen)), { unit: thirteen, how: 'label', words: 'by the label in the picture; bench-1 had unit 14 open' });
  assert.deepEqual(goalOf(atBench(thirteen), seen(thirteen)), { unit: thirteen, how: 'label', words: 'by the label in the picture' });
  assert.deepEqual(goalOf(atBench(null), seen(thirteen)), { unit: thirteen, how: 'label', words: 'by the label in the picture' });
});

test('without a label it goes to the bench’s unit, else the number is asked for', () => {
  assert.deepEqual(goalOf(atBench(fourteen), seen()), { unit: fourteen, how: 'bench', words: 'open at bench-1' });
  assert.deepEqual(goalOf(atBench(null), seen()), { unit: null, words: 'No unit was open at bench-1. Which unit is it?', among: [] });
});

test('two labels are never guessed between', () => {
  const goal = goalOf(atBench(fourteen), seen(fourteen, thirteen));
  assert.deepEqual(goal, { unit: null, words: 'Labels of 2 units are in the picture. Which one is it?', among: [thirteen, fourteen] });
});

test('a code of no unit is told', () => {
  const taken = { labels: ['490154203237518'], units: [] };
  assert.equal(goalOf(atBench(fourteen), taken).words, 'no known label in the picture; open at bench-1');
  assert.match(goalOf(atBench(null), taken).words, /^No unit bears “490154203237518”/);
  assert.match(goalOf(atBench(null), { labels: ['x'.repeat(300)], units: [] }).words, /“x{40}…”/);
});

test('a unit that was chosen stands, whatever the picture shows', () => {
  assert.deepEqual(goalOf({ to: 'unit', unit: thirteen }, seen(fourteen)), { unit: thirteen, how: 'chosen', words: 'unit 13, as you chose' });
});

test('photos are told from logs by type or name', () => {
  assert.ok(isPhotoFile({ name: 'x', type: 'image/jpeg' }));
  assert.ok(isPhotoFile({ name: 'IMG_1.HEIC', type: '' }));
  assert.ok(!isPhotoFile({ name: 'log.csv', type: 'text/csv' }));
  assert.ok(!isPhotoFile({ name: 'heic', type: '' }));
});

test('a file that would be refused is not sent', () => {
  assert.equal(sizeProblem({ size: 1 }), null);
  assert.equal(sizeProblem({ size: 32 * 1024 * 1024 }), null);
  assert.match(sizeProblem({ size: 33.5 * 1024 * 1024 }) ?? '', /33\.5 MB, at most 32/);
  assert.match(sizeProblem({ size: 0 }) ?? '', /empty/);
});

test('a photo without a caption is named by its place', () => {
  assert.equal(photoWords('', 2, 13), 'Photo 2 of unit 13');
  assert.equal(photoWords('dent', 2, 13), 'dent');
});
