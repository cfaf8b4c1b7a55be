import assert from 'node:assert/strict';
import { test } from 'node:test';

import type { Step, UnitView } from '../api';
import {
  advisedKey, benchSteps, coded, courseOf, filterSteps, isGateCaution, nameAfter, nextMark, openedAt, reasonText, sparkPoints, stepBeside, waitsFor,
} from './bench';

function view(values: readonly [string, number][]): UnitView {
  const steps = values.map(([key, value]) => ({ kind: key.split('/')[0], id: key.split('/')[1], value }));
  return {
    advice: { next: steps[0], steps, value: values[0]?.[1] ?? 0, lower: 0, upper: 0 },
    checks: [
      { id: 'look', name: 'Look into the port', trained: false, gates: [], is_full_test: false, outcomes: ['clear', 'dirty', 'bent'].map((id) => ({ id })) },
      { id: 'mains', name: 'Probe the supply', trained: true, gates: [], is_full_test: false, outcomes: [{ id: '5 V' }, { id: 'none' }] },
      { id: 'all', name: 'Full test', trained: false, gates: [], is_full_test: true, outcomes: [{ id: 'pass' }, { id: 'fail' }] },
    ],
    repairs: [{ id: 'cell', name: 'Fit a new battery', trained: false,
      gates: [{ check: 'look', name: 'Look into the port', outcomes: ['clear'], open: false }, { check: 'mains', name: 'Probe the supply', outcomes: ['5 V'], open: true }] }],
    belief: { faults: [{ id: 'pins' }, { id: 'worn' }] },
    course: [{ faults: [0.1, 0.2] }, { faults: [0.8, 0.3] }],
  } as unknown as UnitView;
}

const planned = view([['check/look', 10], ['outlet/scrap', 4], ['repair/cell', 2]]);

test('every step that the plan offers has a letter of its name where it can; the full test has its sheet', () => {
  const steps = benchSteps(view([['repair/cell', 10], ['check/look', 9], ['outlet/scrap', 4], ['check/all', 2]]), true);
  assert.deepEqual(steps.map((step) => [step.key, step.rank, step.code]),
    [['repair/cell', 1, 'b'], ['check/look', 2, 'o'], ['outlet/scrap', 3, 's'], ['check/all', 4, ''], ['check/mains', null, '']]);
  assert.deepEqual(['o', 's', 'x'].map((letter) => coded(steps, letter, null)?.key), ['check/look', 'outlet/scrap', undefined]);
});

test('a step keeps its letter while the order of the plan changes', () => {
  const codes = (order: readonly [string, number][]) => Object.fromEntries(benchSteps(view(order), true).map(({ key, code }) => [key, code]));
  assert.deepEqual(codes([['check/look', 9], ['repair/cell', 8], ['check/mains', 7]]), codes([['check/mains', 9], ['repair/cell', 8], ['check/look', 7]]));
});

test('when the letters are gone they are given twice; a bound letter is given to no step', () => {
  const crowded = view([['check/look', 10]]);
  crowded.checks = Array.from({ length: 20 }, (_, at) => ({ ...crowded.checks[0]!, id: `c${at}`, name: 'Same name' }));
  crowded.advice!.steps = crowded.checks.map(({ id }) => ({ ...crowded.advice!.steps[0]!, kind: 'check', id }));
  const codes = benchSteps(crowded, false).slice(0, 20).map((step) => step.code);
  assert.equal(new Set(codes).size, 20);
  assert.deepEqual([codes[12]!.length, codes[13]!.length], [1, 2]);
  const steps = benchSteps(crowded, false);
  const [once, twice] = [coded(steps, 'm', null), coded(steps, 'm', coded(steps, 'm', null)!.key)];
  assert.deepEqual([once?.code, twice?.code], ['m', 'mm']);
  assert.equal(coded(steps, 'm', twice!.key)?.code, 'm');
  assert.ok(benchSteps(crowded, false, 'm').every((step) => !step.code.includes('m')));
});

test('a unit opens at the next best steps by sign, at any by its letter', () => {
  const steps = benchSteps(planned, false);
  assert.deepEqual(['', '+', '-', 'b', 'x'].map((at) => openedAt(steps, advisedKey(planned), at)), [null, 'repair/cell', null, 'repair/cell', null]);
});

test('what follows an outcome stands at the outcome, not twice', () => {
  const step = { reason: 'Tells. If it shows “clear”: “X”.', reason_money: 'Tells. Costs 1 USD. If it shows “clear”: “X”.',
    after: 'If it shows “clear”: “X”.', next: [{ kind: 'check', id: 'all', outcome: 'clear', probability: 1 }] } as unknown as Step;
  assert.equal(reasonText(step, false, false), 'Tells.');
  assert.equal(reasonText(step, true, false), 'Tells. Costs 1 USD.');
  assert.equal(reasonText(step, true, true), step.reason_money);
  const named = { ...planned, advice: { ...planned.advice, names: { 'check/all': 'Full test' } } } as unknown as UnitView;
  assert.deepEqual(['clear', 'bent'].map((outcome) => nameAfter(named, step, outcome)), ['Full test', '']);
});

test('steps for trained people are shown to them only, after those of the plan', () => {
  assert.deepEqual(benchSteps(planned, true).map((step) => step.key).slice(3), ['check/mains', 'check/all']);
  assert.equal(benchSteps(planned, false).some((step) => step.key === 'check/mains'), false);
});

test('the filter finds by any words of the name', () => {
  const steps = benchSteps(planned, true);
  assert.deepEqual(filterSteps(steps, 'port look').map((step) => step.key), ['check/look']);
  assert.equal(filterSteps(steps, '').length, steps.length);
  assert.equal(filterSteps(steps, 'antenna').length, 0);
});

test('plus and minus go round the list', () => {
  const steps = benchSteps(planned, false);
  assert.equal(stepBeside(steps, 'check/look', 1), 'outlet/scrap');
  assert.equal(stepBeside(steps, 'check/look', -1), 'check/all');
  assert.equal(stepBeside([], null, 1), null);
});

test('a step says which findings it waits for', () => {
  assert.deepEqual(benchSteps(planned, false).map(waitsFor), [[], [], ['Look into the port'], []]);
});

test('swelling, wet and mains are gates; a stray spark is not', () => {
  assert.ok(isGateCaution('Swollen or punctured cell: stop.'));
  assert.ok(isGateCaution('A mains supply stores energy after unplugging.'));
  assert.ok(!isGateCaution('Strap and mat against electrostatic discharge.'));
});

test('a fault\u2019s course is read by its place in the profile', () => {
  assert.deepEqual(courseOf(planned, 'worn'), [0.2, 0.3]);
  assert.deepEqual(courseOf(planned, 'none'), []);
  assert.equal(sparkPoints([0, 1], 10, 4), '0.0,4.0 10.0,0.0');
});

test('a pedal stands on the likeliest outcome first, then on the others, last on “can’t tell”', () => {
  const road: number[] = [];
  for (let marked: number | null = null; road.length < 5;) road.push(marked = nextMark([0.1, 0.6, 0.3], marked));
  assert.deepEqual(road, [1, 2, 0, 3, 1]);
});
