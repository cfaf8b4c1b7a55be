// The commands: exit statuses, one JSON document on standard output, messages on standard error.
import assert from 'node:assert/strict';
import { readFileSync, readdirSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import test from 'node:test';

import { get, post, postEntries } from './support/client.mjs';
import * as make from './support/entries.mjs';
import { run, start, temporaryFolder } from './support/server.mjs';

const folder = temporaryFolder({ after: (work) => test.after(work) });
let count = 0;
function file(text, ending = '') {
  count += 1;
  const name = join(folder, `file-${count}${ending}`);
  writeFileSync(name, text);
  return name;
}
const profile = file(make.lampToml, '.toml');
const slowCase = { events: [{ check: 'charge-current', outcome: 'slow' }] };
const clash = { events: [{ confirmed: 'cell-open' }, { repair: 'swap-battery' }, { ruled_out: 'cell-open' }, { confirmed: 'cell-open' }] };

/** Runs with --json and gives the document; standard output holds nothing else. */
function document(args, options) {
  const done = run([...args, '--json'], options);
  assert.equal(done.status, 0, done.err);
  assert.ok(done.out.endsWith('\n') && done.out.trimEnd().split('\n').length === 1);
  return JSON.parse(done.out);
}

test('help and version are given for the asking', () => {
  for (const args of [['--help'], ['serve', '--help'], ['profile', '--help'], ['profile', 'check', '--help'], ['infer', '--help'],
    ['advise', '--help'], ['meter', '--help'], ['segment', '--help'], ['export', '--help'], ['import', '--help'], ['verify', '--help']]) {
    const { status, out, err } = run(args);
    assert.deepEqual([status, err], [0, ''], args.join(' '));
    assert.match(out, /Usage|OPTIONS/i);
  }
  assert.match(run(['--version']).out, /^\d+\.\d+\.\d+\n$/);
});

test('a wrong command line ends with 2', () => {
  for (const args of [[], ['nothing'], ['infer'], ['infer', '--profile'], ['infer', '--profile', profile, '--top', 'x'],
    ['advise', '--profile', profile, '--no-such'], ['profile'], ['profile', 'check'], ['meter'], ['meter', 'x', '--interval', '-1'],
    ['serve', '--listen', 'nonsense'], ['serve', '--listen', '127.0.0.1:99999']]) {
    const { status, out, err } = run(args);
    assert.equal(status, 2, args.join(' '));
    assert.equal(out, '');
    assert.notEqual(err, '');
  }
});

test('a file that is not there is said with its name', () => {
  for (const args of [['profile', 'check', '/no/such'], ['infer', '--profile', '/no/such'], ['infer', '--profile', profile, '--case', '/no/such'],
    ['advise', '--profile', '/no/such'], ['meter', '/no/such'], ['segment', '/no/such'], ['import', '/no/such', '--data', join(folder, 'x')],
    ['export', '--data', '/no/such'], ['verify', '--data', '/no/such'], ['meter', folder]]) {
    const { status, out, err } = run(args);
    assert.equal(status, 1, args.join(' '));
    assert.equal(out, '');
    assert.match(err, /no\/such|lotwright-test/);
  }
});

test('profile check tells all problems with file, line and column', () => {
  assert.deepEqual(document(['profile', 'check', profile]), { ok: true, id: 'bench-lamp', name: 'Bench lamp', problems: [] });
  assert.match(run(['profile', 'check', profile]).out, /valid/);
  const wrong = file(make.lampToml.replace('probability = 0.2', 'probability = 7').replace('minutes = 6.0', 'minutes = -6.0'), '.toml');
  const { status, out, err } = run(['profile', 'check', wrong]);
  assert.equal(status, 1);
  assert.equal(out, '');
  const places = err.trimEnd().split('\n').filter((line) => line.startsWith(`${wrong}:`));
  assert.equal(places.length, 2);
  assert.match(places[0], /:\d+:\d+: error: /);
  const json = run(['profile', 'check', wrong, '--json']);
  assert.equal(json.status, 1);
  assert.equal(JSON.parse(json.out).ok, false);
  assert.equal(run(['profile', 'check', '-'], { input: make.lampToml }).status, 0);
});

test('infer gives the belief of a case', () => {
  const prior = document(['infer', '--profile', profile]);
  assert.equal(prior.evidence_probability, 1);
  const belief = document(['infer', '--profile', profile, '--case', file(JSON.stringify(slowCase))]);
  assert.deepEqual(belief.faults.map(({ id }) => id), ['board-dead', 'cell-open']);
  // By hand: slow is impossible with a dead board; P = 0.3·0.9 / (0.3·0.9 + 0.7·0.03).
  assert.ok(Math.abs(belief.faults[1].probability - 0.27 / 0.291) < 1e-9);
  assert.equal(belief.faults[0].probability, 0);
  assert.equal(document(['infer', '--profile', profile, '--top', '1']).scenarios.length, 1);
  assert.deepEqual(document(['infer', '--profile', '-'], { input: make.lampToml }), prior);
  assert.match(run(['infer', '--profile', profile]).out, /cell-open/);
});

test('infer on impossible evidence ends with 0 and names the clash', () => {
  const belief = document(['infer', '--profile', profile, '--case', '-'], { input: JSON.stringify({ events: [{ confirmed: 'cell-open' }, { check: 'full-test', outcome: 'pass' }] }) });
  assert.equal(belief.evidence_probability, 0);
  assert.deepEqual(belief.conflict, [0, 1]);
  assert.equal(belief.clean, null);
  assert.ok(belief.faults.every(({ probability }) => probability === null));
});

test('advise on impossible evidence ends with 1 and names the events', () => {
  const { status, out, err } = run(['advise', '--profile', profile, '--case', file(JSON.stringify(clash)), '--json']);
  assert.equal(status, 1);
  assert.equal(out, '');
  assert.match(err, /Cell open/);
});

test('advise gives the next step, in exact mode with equal bounds', () => {
  for (const more of [[], ['--exact']]) {
    const advice = document(['advise', '--profile', profile, '--case', file(JSON.stringify(slowCase)), ...more]);
    assert.deepEqual(advice.next, { kind: advice.steps[0].kind, id: advice.steps[0].id });
    assert.equal(advice.value, advice.steps[0].value);
    assert.ok(advice.lower <= advice.value + 1e-9 && advice.value <= advice.upper + 1e-9);
    assert.equal(advice.outlets['sell-working'], null);
    assert.ok(advice.steps.every(({ reason, reason_money: money }) => reason !== '' && money !== ''));
    if (more.length > 0) assert.ok(advice.upper - advice.lower < 1e-6);
  }
  assert.match(run(['advise', '--profile', profile]).out, /[Cc]harge/);
});

test('a case that cannot be read is said with line and column', () => {
  const cases = [['{"events": [\n {"check": }]}', /:2:\d+: error: not JSON/], ['{"events": "', /not JSON/],
    ['['.repeat(100_000), /nest deeper/], ['', /not JSON/], ['{"events": [{"check": "no-such", "outcome": "x"}]}', /no-such/],
    ['{"events": [{"check": "charge-current", "outcome": "slow", "sure": 7}]}', /sure/]];
  for (const command of ['infer', 'advise']) {
    for (const [text, message] of cases) {
      const { status, out, err } = run([command, '--profile', profile, '--case', file(text)]);
      assert.equal(status, 1, text.slice(0, 40));
      assert.equal(out, '');
      assert.match(err, message);
    }
    const bytes = file(Buffer.from([0x7b, 0x22, 0xff, 0xfe, 0x22, 0x3a, 0x31, 0x7d]));
    const done = run([command, '--profile', profile, '--case', bytes]);
    assert.equal(done.status, 1);
    assert.match(done.err, /UTF-8/);
  }
});

const slowLog = `seconds,A,V\n${Array.from({ length: 600 }, (_, i) => `${i},${(0.4 + 0.002 * ((i * 7) % 3)).toFixed(3)},5.05`).join('\n')}\n`;

test('meter gives phases and figures, and the outcome with a profile', () => {
  const log = file(slowLog, '.csv');
  const plain = document(['meter', log]);
  assert.equal(plain.samples, 600);
  assert.equal(plain.duration_s, 599);
  assert.deepEqual(plain.phases.map(({ kind }) => kind), ['slow']);
  assert.equal(plain.outcome, undefined);
  assert.equal(document(['meter', '-', '--profile', profile], { input: slowLog }).outcome, 'slow');
  assert.notEqual(run(['meter', log]).out, '');
  const untimed = file(Array.from({ length: 100 }, (_, i) => (0.4 + 0.001 * (i % 3)).toFixed(3)).join('\n'));
  assert.equal(run(['meter', untimed]).status, 1);
  assert.ok(Math.abs(document(['meter', untimed, '--interval', '2']).duration_s - 198) < 1e-9);
  assert.equal(run(['meter', file('no numbers here\n')]).status, 1);
});

test('meter takes what the user knows better of a log', () => {
  const log = file('Time,Probe A,Probe B\n0,1.0,0.40\n100,1.1,0.41\n200,1.0,0.40\n300,1.2,0.41\n400,1.1,0.40\n', '.csv');
  const given = document(['meter', log, '--column', 'probe b', '--time-unit', 'ms']);
  assert.ok(Math.abs(given.duration_s - 0.4) < 1e-9);
  assert.equal(given.peak_A, 0.41);
  const refused = run(['meter', log, '--column', 'probe']);
  assert.equal(refused.status, 1);
  assert.match(refused.err, /several columns are called "probe"; the columns are: Time, Probe A, Probe B/);
});

test('meter reads what was seen at a glance', () => {
  const seen = document(['meter', '--by-eye', '.4', '--profile', profile]);
  assert.deepEqual([seen.by_eye, seen.phases, seen.outcome], ['.4', [{ kind: 'slow', mean_A: 0.4 }], 'slow']);
  assert.match(run(['meter', '--by-eye', '.4 0 1.6']).out, /slow, then idle, then fast/);
  const wrong = run(['meter', '--by-eye', '.4 quick']);
  assert.equal(wrong.status, 1);
  assert.match(wrong.err, /"quick" is no reading of a meter/);
  assert.equal(run(['meter', 'some.csv', '--by-eye', '.4']).status, 2);
});

test('segment gives change points of a column or of a JSON array', () => {
  const series = [...Array(50).fill(0), ...Array(50).fill(5)].map((level, i) => level + 0.01 * ((i * 7) % 5));
  for (const text of [JSON.stringify(series), series.join('\n')]) {
    const found = document(['segment', file(text)]);
    assert.deepEqual(found, { samples: 100, change_points: [50] });
  }
  assert.equal(run(['segment', file('[1, "x"]')]).status, 1);
});

test('a store goes out and in again and verifies', async (t) => {
  const data = temporaryFolder(t);
  const server = await start(data);
  const { units, all } = make.shop(3);
  await postEntries(server, all);
  const stored = await post(server, '/attachments', slowLog);
  await postEntries(server, [make.about(units[0], 'meter-log-attached', { attachment: stored.json.attachment, name: 'lamp.csv' })]);
  const during = run(['export', '--data', data]);
  assert.equal(during.status, 0, during.err);
  assert.deepEqual(document(['verify', '--data', data]), { ok: true, entries: 6, attachments: 1, problems: [] });
  const refused = run(['import', '-', '--data', data], { input: during.out });
  assert.equal(refused.status, 3, 'a server is the only writer');
  assert.equal(run(['serve', '--data', data, '--listen', '127.0.0.1:0'], { timeout: 20_000 }).status, 3);
  await server.stop();

  const exported = join(data, 'out.jsonl');
  assert.equal(run(['export', exported, '--data', data]).status, 0);
  assert.equal(readFileSync(exported, 'utf8'), during.out);
  const other = join(temporaryFolder(t), 'other');
  assert.deepEqual(document(['import', exported, '--data', other]), { entries: 6, repeated: 0, attachments: 1 });
  assert.deepEqual(document(['import', exported, '--data', other]), { entries: 0, repeated: 6, attachments: 1 });
  assert.equal(run(['export', '--data', other]).out, during.out);
  const again = await start(other);
  t.after(() => again.stop());
  assert.equal((await get(again, '/lots')).json.lots[0].received, 3);
  assert.equal((await get(again, `/attachments/${stored.json.attachment}`)).text, slowLog);
});

test('an altered export is refused and nothing of it is kept', async (t) => {
  const data = temporaryFolder(t);
  const server = await start(data);
  await postEntries(server, make.shop(2).all);
  await server.stop();
  const { out } = run(['export', '--data', data]);
  const other = join(temporaryFolder(t), 'other');
  for (const text of [out.replace('Ada', 'Eve'), out.split('\n').slice(0, -2).join('\n'), out.slice(0, -10), `${out}{}\n`, '', 'nonsense\n']) {
    const { status, err } = run(['import', '-', '--data', other], { input: text });
    assert.equal(status, 1);
    assert.match(err, /standard input:\d+/);
  }
  assert.equal(document(['verify', '--data', other]).entries, 0);
});

test('verify finds a damaged store', async (t) => {
  const data = temporaryFolder(t);
  const server = await start(data);
  const stored = await post(server, '/attachments', slowLog);
  await server.stop();
  const path = run(['verify', '--data', data]);
  assert.equal(path.status, 0, path.err);
  const attachment = findFile(data, stored.json.attachment);
  rmSync(attachment);
  writeFileSync(attachment, slowLog.replace('0.400', '0.500'));
  const found = run(['verify', '--data', data, '--json']);
  assert.equal(found.status, 3);
  const report = JSON.parse(found.out);
  assert.equal(report.ok, false);
  assert.ok(report.problems.length > 0);
});

/** The file below the folder whose path ends with the name, slashes left out. */
function findFile(root, name) {
  const below = readdirSync(root, { recursive: true }).map((path) => join(root, path)).filter((path) => statSync(path).isFile());
  return below.find((path) => path.replaceAll('/', '').endsWith(name));
}

test('the demo is a throw-away store that says so', async (t) => {
  const server = await start(join(folder, 'never-used'), ['--demo']);
  t.after(() => server.stop());
  assert.equal((await get(server, '/status')).json.demo, true);
  assert.throws(() => statSync(join(folder, 'never-used')));
});

test('the data folder follows XDG_DATA_HOME', async () => {
  const home = join(folder, 'xdg');
  const { err, status } = run(['verify'], { env: { XDG_DATA_HOME: home } });
  assert.equal(status, 1);
  assert.ok(err.includes(join(home, 'lotwright')));
});

test('a further name of the server is taken as Host', async (t) => {
  const server = await start(join(folder, 'named'), ['--name', 'bench.example']);
  t.after(() => server.stop());
  assert.equal((await get(server, '/status', { host: 'bench.example' })).status, 200);
  assert.equal((await get(server, '/status', { host: 'other.example' })).status, 421);
});

test('a port that is taken is said', async (t) => {
  const server = await start(temporaryFolder(t));
  t.after(() => server.stop());
  const { status, err } = run(['serve', '--data', join(folder, 'second'), '--listen', `127.0.0.1:${server.port}`]);
  assert.equal(status, 1);
  assert.match(err, new RegExp(`${server.port}`));
});
