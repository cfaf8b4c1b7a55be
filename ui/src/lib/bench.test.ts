import assert from 'node:assert/strict';
import { test } from 'node:test';

import type { UnitView } from '../api';
import { benchSteps, courseOf, filterSteps, isGateCaution, sparkPoints, stepBeside, waitsFor } from './bench';

function view(values: readonly [string, number][]): UnitView {
  const steps = values.map(([key, value]) => ({ kind: key.split('/')[0], id: key.split('/')[1], value }));
  return {
    advice: { next: steps[0], steps, value: values[0]?.[1] ?? 0, lower: 0, upper: 0 },
    checks: [{ id: 'look', name: 'Look into the port', trained: false, gates: [] }, { id: 'mains', name: 'Probe the supply', trained: true, gates: [] }],
    repairs: [{ id: 'cell', name: 'Fit a new battery', trained: false,
      gates: [{ check: 'look', name: 'Look into the port', outcomes: ['clear'], open: false }, { check: 'mains', name: 'Probe the supply', outcomes: ['5 V'], open: true }] }],
    belief: { faults: [{ id: 'pins' }, { id: 'worn' }] },
    course: [{ faults: [0.1, 0.2] }, { faults: [0.8, 0.3] }],
  } as unknown as UnitView;
}

const planned = view([['check/look', 10], ['outlet/scrap', 4], ['repair/cell', 2]]);

test('the advised step has no letter, the others have the first ones', () => {
  assert.deepEqual(benchSteps(planned, false).map((step) => [step.key, step.rank, step.letter]),
    [['check/look', 1, ''], ['outlet/scrap', 2, 'a'], ['repair/cell', 3, 'b']]);
});

test('steps for trained people are shown to them only, after those of the plan', () => {
  assert.deepEqual(benchSteps(planned, true).at(-1)?.key, 'check/mains');
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
  assert.equal(stepBeside(steps, 'check/look', -1), 'repair/cell');
  assert.equal(stepBeside([], null, 1), null);
});

test('a step says which findings it waits for', () => {
  assert.deepEqual(benchSteps(planned, false).map(waitsFor), [[], [], ['Look into the port']]);
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
