import assert from 'node:assert/strict';
import { test } from 'node:test';

import type { UnitView } from '../api';
import { aboutEqual, benchSteps, courseOf, filterSteps, isGateCaution, sparkPoints, stepBeside } from './bench';

function view(values: readonly [string, number][], extra: { lower_se?: number } = {}): UnitView {
  const steps = values.map(([key, value]) => ({ kind: key.split('/')[0], id: key.split('/')[1], value }));
  return {
    advice: { next: steps[0], steps, value: values[0]?.[1] ?? 0, lower: 0, upper: 0, ...extra },
    checks: [{ id: 'look', name: 'Look into the port', trained: false }, { id: 'mains', name: 'Probe the supply', trained: true }],
    repairs: [{ id: 'cell', name: 'Fit a new battery', trained: false }],
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

test('steps within the doubt are about equal', () => {
  assert.equal(aboutEqual(view([['check/look', 70], ['repair/cell', 69.8]]))?.id, 'cell');
  assert.equal(aboutEqual(view([['check/look', 70], ['repair/cell', 66]])), null);
  assert.equal(aboutEqual(view([['check/look', 70], ['repair/cell', 66]], { lower_se: 2 }))?.id, 'cell');
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
