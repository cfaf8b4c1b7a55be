import assert from 'node:assert/strict';
import { test } from 'node:test';

import { claimState } from './manifest';

const claimed = [{ count: 1, date: '2026-11-20', reference: 'mail 4' }];

test('what is missing is to be claimed in time', () => {
  assert.deepEqual(claimState({ missing: 0 }, null, '2026-11-28'), { unclaimed: 0, words: '', late: false });
  assert.deepEqual(claimState({ missing: 2 }, null, '2026-11-28'), { unclaimed: 2, words: '2 to claim.', late: false });
  assert.deepEqual(claimState({ missing: 2 }, '2026-12-01', '2026-11-28'), { unclaimed: 2, words: '2 to claim by 2026-12-01.', late: false });
  assert.deepEqual(claimState({ missing: 2 }, '2026-11-28', '2026-11-28'), { unclaimed: 2, words: '2 to claim today.', late: true });
  assert.equal(claimState({ missing: 2 }, '2026-11-01', '2026-11-28').late, true);
});

test('what was claimed is taken off', () => {
  assert.deepEqual(claimState({ missing: 3, claimed }, '2026-12-01', '2026-11-28'),
    { unclaimed: 2, words: '1 claimed, last on 2026-11-20, mail 4. 2 to claim by 2026-12-01.', late: false });
  assert.deepEqual(claimState({ missing: 1, claimed }, '2026-11-01', '2026-11-28'),
    { unclaimed: 0, words: '1 claimed, last on 2026-11-20, mail 4.', late: false });
});
