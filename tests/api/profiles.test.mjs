// A profile's text edited at its places, checked, and saved on what it was based on.
import assert from 'node:assert/strict';
import { readFileSync, readdirSync } from 'node:fs';
import test from 'node:test';

import { get, post, postEntries } from './support/client.mjs';
import * as make from './support/entries.mjs';
import { start, temporaryFolder } from './support/server.mjs';

const root = new URL('../../', import.meta.url);
const server = await start(temporaryFolder({ after: (work) => test.after(work) }));
test.after(() => server.stop());
const edit = (toml, edits) => post(server, '/profiles/edit', { toml, ...(edits === undefined ? {} : { edits }) });

test('without edits every shipped profile comes back byte for byte, with its tree', async () => {
  for (const name of readdirSync(new URL('profiles', root))) {
    const toml = readFileSync(new URL(`profiles/${name}`, root), 'utf8');
    const { status, json } = await edit(toml);
    assert.equal(status, 200);
    assert.equal(json.toml, toml);
    assert.ok(json.ok);
    assert.equal(json.tree.format, 1);
    assert.equal(json.tree.device.id, json.id);
    assert.ok(json.tree.fault.length > 10);
  }
});

test('an edit changes its place; what is wrong is said with its place', async () => {
  const { json } = await edit(make.lampToml, [{ edit: 'set', path: ['value', 'fee_rate'], value: 1.5 }]);
  assert.equal(json.ok, false);
  assert.deepEqual(json.problems.map(({ severity, pointer }) => [severity, pointer]), [['error', 'value.fee_rate']]);
  assert.equal(json.tree.value.fee_rate, 1.5);
  const lines = (text) => text.split('\n');
  const changed = lines(json.toml).filter((line, at) => line !== lines(make.lampToml)[at]);
  assert.ok(changed.length >= 1);
  const back = await edit(json.toml, [{ edit: 'set', path: ['value', 'fee_rate'], value: 0.1 }]);
  assert.ok(back.json.ok, back.text);
});

test('new tables keep the order of their keys', async () => {
  const { json } = await edit(make.lampToml, [{ edit: 'insert', path: ['grade'], value: { id: 'zz', name: 'Last', price_factor: 0.5 }, comment: 'Why.' }]);
  assert.match(json.toml, /# Why\.\n\[\[grade\]\]\nid = "zz"\nname = "Last"\nprice_factor = 0\.5\n/);
});

test('a text that is no TOML has no tree and says where', async () => {
  const { status, json } = await edit('format = ');
  assert.equal(status, 200);
  assert.equal(json.tree, null);
  assert.equal(json.problems[0].line, 1);
  assert.equal((await edit('format = ', [{ edit: 'remove', path: ['format'] }])).status, 422);
});

test('edits that cannot be made are refused with their place, and nothing breaks', async () => {
  const cases = [
    [[{ edit: 'remove', path: ['fault', 'gone'] }], /edits\[0\]/],
    [[{ edit: 'set', path: ['format'], value: 1 }, { edit: 'move', path: ['device'], at: 0 }], /edits\[1\]/],
    [[{ edit: 'turn', path: ['a'] }], /\/edits\/0\/edit/],
    [{ edit: 'set' }, /\/edits/],
    [[{ edit: 'insert', path: ['fault'], value: { a: null } }], /\/edits\/0\/value\/a/],
    [[{ edit: 'insert', path: ['fault'], value: {}, comment: 'two\nlines' }], /\/edits\/0\/comment/],
  ];
  for (const [edits, place] of cases) {
    const { status, text } = await edit(make.lampToml, edits);
    assert.equal(status, 422, text);
    assert.match(text, place);
  }
  assert.equal((await post(server, '/profiles/edit', { edits: [] })).status, 422);
  assert.equal((await post(server, '/profiles/edit', [])).status, 422);
});

test('a save says what it is based on, and an older one is refused', async () => {
  assert.equal((await postEntries(server, [make.profileSaved()])).status, 200);
  const first = (await get(server, '/profiles/bench-lamp')).json;
  assert.equal(first.version, 1);
  assert.equal(first.saved.who, 'Ada');
  const save = (toml, hash) => postEntries(server, [make.entry('profile-saved', { kind: 'profile', id: 'bench-lamp' }, { toml, based_on: hash })]);
  const renamed = make.lampToml.replace(/name = "([^"]+)"/, 'name = "$1 again"');
  assert.equal((await save(renamed, first.hash)).status, 200);
  const late = await save(make.lampToml, first.hash);
  assert.equal(late.status, 409);
  assert.equal(late.json.problems[0].what, 'the profile was changed meanwhile');
  const second = (await get(server, '/profiles/bench-lamp')).json;
  assert.equal(second.version, 2);
  assert.equal((await save(make.lampToml, second.hash)).status, 200);
  assert.equal((await save(make.lampToml, 'no hash')).status, 422);
});

test('what the shop saw of a model is counted beside its numbers', async () => {
  const { lot, units } = make.shop(2);
  const entries = [lot, ...units, make.finding(units[0], 'charge-current', 'slow'), make.finding(units[1], 'charge-current', 'slow'),
    make.finding(units[0], 'charge-current', null)];
  const stored = await postEntries(server, entries);
  assert.equal(stored.status, 200, stored.text);
  const { seen } = (await get(server, '/profiles/bench-lamp')).json;
  assert.equal(seen.units, 2);
  assert.deepEqual(seen.checks, { 'charge-current': { done: 2, outcomes: { slow: 2 } } });
  assert.deepEqual(seen.faults, {});
});
