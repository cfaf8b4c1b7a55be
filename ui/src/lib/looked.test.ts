import assert from 'node:assert/strict';
import { test } from 'node:test';

import type { UnitView } from '../api';
import { type LookedAt, afterLook, isChanged } from './looked';

function view(next: string | null, entries: readonly string[] = ['e1'], profile = 'p1', unit = 'u1'): UnitView {
  return {
    unit: { id: unit, profile_hash: profile },
    diary: entries.map((entry) => ({ entry: entry.replace('!', ''), struck: entry.endsWith('!') ? {} : null })),
    advice: next === null ? null : { next: { kind: 'check', id: next } },
  } as unknown as UnitView;
}

test('other advice on the very same facts is a change of the planner', () => {
  const seen = afterLook({}, view('look'));
  assert.equal(isChanged(seen, view('look')), false);
  assert.equal(isChanged(seen, view('rail')), true);
  assert.equal(isChanged(seen, view('rail', ['e1', 'e2'])), false);
  assert.equal(isChanged(seen, view('rail', ['e1!'])), false);
  assert.equal(isChanged(seen, view('rail', ['e1'], 'p2')), false);
  assert.equal(isChanged(seen, view('rail', ['e1'], 'p1', 'u2')), false);
  assert.equal(isChanged(seen, view(null)), false);
});

test('what was first seen of the same facts is kept, so that the words stay until something happens', () => {
  const seen = afterLook({}, view('look'));
  assert.equal(afterLook(seen, view('rail')), seen);
  assert.equal(isChanged(afterLook(seen, view('rail', ['e1', 'e2'])), view('rail', ['e1', 'e2'])), false);
  assert.equal(afterLook(seen, view(null, ['e9'])), seen);
});

test('the longest unseen unit is forgotten', () => {
  let seen: LookedAt = {};
  for (let unit = 0; unit < 310; ++unit) seen = afterLook(seen, view('look', ['e'], 'p', `u${unit}`));
  assert.equal(Object.keys(seen).length, 300);
  assert.equal(isChanged(seen, view('rail', ['e'], 'p', 'u0')), false);
  assert.equal(isChanged(seen, view('rail', ['e'], 'p', 'u309')), true);
});
