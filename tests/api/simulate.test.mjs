// The command `simulate`: its document, its table, its messages, and that Ctrl-C keeps what was played.
import assert from 'node:assert/strict';
import { spawn } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import test from 'node:test';

import * as make from './support/entries.mjs';
import { run, temporaryFolder } from './support/server.mjs';

const folder = temporaryFolder({ after: (work) => test.after(work) });
const profile = join(folder, 'lamp.toml');
writeFileSync(profile, make.lampToml);
const all = ['plan', 'fixed', 'test-first', 'truth-revealed', 'stop'];

function simulated(...args) {
  const { status, out, err } = run(['simulate', '--profile', profile, ...args, '--json']);
  assert.equal(status, 0, err);
  assert.ok(out.endsWith('\n') && out.trimEnd().split('\n').length === 1);
  return JSON.parse(out);
}

test('simulate gives every policy, every pair and the stated value', () => {
  const done = simulated('--units', '300', '--seed', '4');
  assert.equal(done.units, 300);
  assert.equal(done.asked, 300);
  assert.equal(done.seed, 4);
  assert.deepEqual(done.policies.map(({ name }) => name), all);
  for (const policy of done.policies) {
    for (const key of ['net_per_unit', 'se', 'hands_on_minutes', 'net_per_hour', 'wait_minutes', 'checks', 'repairs']) {
      assert.equal(typeof policy[key], 'number', `${policy.name} ${key}`);
    }
    assert.deepEqual(Object.keys(policy.outlets).sort(), ['donor', 'scrap', 'sell-as-is', 'sell-working']);
    assert.equal(Object.values(policy.outlets).reduce((sum, units) => sum + units, 0), 300);
  }
  assert.equal(done.paired.length, 10);
  const net = Object.fromEntries(done.policies.map(({ name, net_per_unit: value }) => [name, value]));
  for (const { a, b, difference, se } of done.paired) {
    assert.ok(Math.abs(difference - (net[a] - net[b])) < 1e-9);
    assert.ok(se >= 0);
  }
  const plan = done.policies[0];
  assert.ok(Math.abs(plan.net_per_unit - done.stated_value) < 4 * plan.se);
  assert.ok(net['truth-revealed'] > plan.net_per_unit - 1);
  assert.equal(done.share_of_way.to, 'truth-revealed');
});

test('the same seed gives the same document, another seed another one', () => {
  assert.deepEqual(simulated('--units', '40', '--seed', '9'), simulated('--units', '40', '--seed', '9'));
  assert.notDeepEqual(simulated('--units', '40', '--seed', '9'), simulated('--units', '40', '--seed', '10'));
  assert.equal(simulated('--units', '2').seed, 1);
});

test('policies are chosen by repeating or by a list', () => {
  const names = (...args) => simulated('--units', '3', ...args).policies.map(({ name }) => name);
  assert.deepEqual(names('--policy', 'fixed'), ['fixed']);
  assert.deepEqual(names('--policy', 'stop', '--policy', 'plan'), ['stop', 'plan']);
  assert.deepEqual(names('--policy', 'plan,truth-revealed'), ['plan', 'truth-revealed']);
  assert.equal(simulated('--units', '3', '--policy', 'fixed').stated_value, undefined);
  assert.equal(simulated('--units', '1', '--policy', 'stop').policies[0].se, null);
});

test('without --json there is a table', () => {
  const { status, out } = run(['simulate', '--profile', profile, '--units', '20']);
  assert.equal(status, 0);
  for (const name of all) assert.match(out, new RegExp(`^${name} `, 'm'));
  assert.match(out, /plan over fixed/);
});

test('a wrong command line ends with 2 and says why, a wrong file with 1', () => {
  for (const args of [[], ['--profile', profile], ['--profile', profile, '--units', '0'], ['--profile', profile, '--units', '-3'],
    ['--profile', profile, '--units', 'many'], ['--profile', profile, '--units', '5', '--seed', 'x'],
    ['--profile', profile, '--units', '5', '--policy', 'guess'], ['--units', '5']]) {
    const { status, out, err } = run(['simulate', ...args]);
    assert.equal(status, 2, args.join(' '));
    assert.equal(out, '');
    assert.notEqual(err, '');
  }
  assert.match(run(['simulate', '--profile', profile, '--units', '5', '--policy', 'guess']).err, /guess/);
  for (const [args, message] of [[['--profile', '/no/such', '--units', '5'], /no\/such/],
    [['--profile', profile, '--units', '5', '--policy', 'plan', '--policy', 'plan'], /plan is named twice/]]) {
    const { status, out, err } = run(['simulate', ...args]);
    assert.equal(status, 1);
    assert.equal(out, '');
    assert.match(err, message);
  }
  assert.match(run(['simulate', '--help']).out, /--units/);
});

test('Ctrl-C ends with the figures of the units played so far', async () => {
  const running = spawn(process.env.LOTWRIGHT, ['simulate', '--profile', profile, '--units', '10000000', '--json']);
  let out = '';
  let err = '';
  running.stdout.on('data', (chunk) => { out += chunk; });
  running.stderr.on('data', (chunk) => { err += chunk; });
  setTimeout(() => running.kill('SIGINT'), 3000);
  const status = await new Promise((resolve) => { running.on('close', resolve); });
  assert.equal(status, 0, err);
  const done = JSON.parse(out);
  assert.equal(done.asked, 10_000_000);
  assert.ok(done.units > 0 && done.units < 10_000_000);
  assert.match(err, new RegExp(`first ${done.units} of 10000000 units`));
});
