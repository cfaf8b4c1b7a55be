import assert from 'node:assert/strict';
import { test } from 'node:test';

import { firstState, kSilenceMs, streamStep, touches } from './leader';

const unit = (id: string) => ({ kind: 'unit', id });

test('the window that gets the lock opens the stream after what it knows', () => {
  const known = { ...firstState(0), sequence: 41 };
  const { state, deeds } = streamStep(known, { event: 'lock-granted', now: 1 });
  assert.equal(state.role, 'leader');
  assert.deepEqual(deeds, [{ deed: 'open-stream', after: 41 }]);
});

test('a change is told to the others and shown once', () => {
  const leader = { ...firstState(0), role: 'leader' as const, sequence: 41 };
  const change = { sequence: 42, subjects: [unit('a')] };
  const first = streamStep(leader, { event: 'stream-change', change, now: 1 });
  assert.deepEqual(first.deeds, [{ deed: 'tell', change }, { deed: 'refresh', change }]);
  assert.deepEqual(streamStep(first.state, { event: 'stream-change', change, now: 2 }).deeds, []);
});

test('a follower refreshes what a change names, everything after a gap, nothing it had', () => {
  const follower = { ...firstState(0), sequence: 5 };
  const heard = (sequence: number) => streamStep(follower, {
    event: 'heard', connection: 'live', sequence, change: { sequence, subjects: [unit('a')] }, now: 9,
  });
  assert.deepEqual(heard(6).deeds, [{ deed: 'refresh', change: { sequence: 6, subjects: [unit('a')] } }]);
  assert.deepEqual(heard(8).deeds, [{ deed: 'refresh', change: { sequence: 8, subjects: null } }]);
  assert.deepEqual(heard(5).deeds, []);
  assert.equal(heard(8).state.sequence, 8);
});

test('a visible window takes the lock of a silent leader, a hidden one does not', () => {
  const follower = firstState(0);
  const tick = (visible: boolean, now: number) => streamStep(follower, { event: 'tick', visible, now }).deeds;
  assert.deepEqual(tick(true, kSilenceMs - 1), []);
  assert.deepEqual(tick(false, kSilenceMs + 1), []);
  assert.deepEqual(tick(true, kSilenceMs + 1), [{ deed: 'take-lock' }]);
});

test('a journal behind what is known is another one: all is read again', () => {
  const step = streamStep({ ...firstState(0), sequence: 90 }, { event: 'status', sequence: 12, now: 1 });
  assert.equal(step.state.sequence, 12);
  assert.deepEqual(step.deeds.at(-1), { deed: 'refresh', change: { sequence: 12, subjects: null } });
  assert.deepEqual(streamStep(firstState(0), { event: 'status', sequence: 12, now: 1 }).deeds, []);
});

test('a new window asks, and only the leader tells', () => {
  assert.deepEqual(streamStep({ ...firstState(0), role: 'leader' }, { event: 'asked', now: 1 }).deeds, [{ deed: 'tell', change: null }]);
  assert.deepEqual(streamStep(firstState(0), { event: 'asked', now: 1 }).deeds, []);
});

test('a window that woke asks how far the journal is', () => {
  assert.deepEqual(streamStep(firstState(0), { event: 'woke', now: 1 }).deeds, [{ deed: 'ask-status' }]);
});

test('a leader that lost its lock closes its stream and follows', () => {
  const step = streamStep({ ...firstState(0), role: 'leader' }, { event: 'lock-lost', now: 1 });
  assert.equal(step.state.role, 'follower');
  assert.deepEqual(step.deeds, [{ deed: 'close-stream' }]);
});

test('a break is said and told; what is known stays', () => {
  const step = streamStep({ ...firstState(0), role: 'leader', connection: 'live', sequence: 7 }, { event: 'stream-error', now: 1 });
  assert.equal(step.state.connection, 'reconnecting');
  assert.equal(step.state.sequence, 7);
});

test('a unit\u2019s view is not read again for another unit, but for its lot and profile', () => {
  assert.equal(touches({ sequence: 1, subjects: [unit('b')] }, unit('a')), false);
  assert.equal(touches({ sequence: 1, subjects: [unit('a')] }, unit('a')), true);
  assert.equal(touches({ sequence: 1, subjects: [{ kind: 'profile', id: 'p' }] }, unit('a')), true);
  assert.equal(touches({ sequence: 1, subjects: null }, unit('a')), true);
  assert.equal(touches({ sequence: 1, subjects: [unit('b')] }, null), true);
});
