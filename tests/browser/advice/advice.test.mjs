// Advice and what a person does with it: going against it with no more keys, being told why it changed, readings that clash.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import test from 'node:test';

import { get, postEntries } from '../../api/support/client.mjs';
import * as make from '../../api/support/entries.mjs';
import { start, temporaryFolder } from '../../api/support/server.mjs';
import { Bench, recordingMs, watchRecording } from '../support/bench.mjs';
import { device, launch, named } from '../support/browser.mjs';

const kRules = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

const server = await start(temporaryFolder({ after: (work) => test.after(work) }));
test.after(() => server.stop());
const plover = (await get(server, '/shipped-profiles')).json.profiles.find(({ id }) => id === 'plover-h1');
const lot = make.lotBought({ lines: [{ id: 'a', profile: plover.id, model: plover.name, declared: 9 }] });
const units = [1, 2, 3, 4, 5, 6].map((number) => make.unitReceived(lot, number));
assert.equal((await postEntries(server, [make.profileSaved(plover.toml, plover.id), lot, ...units])).status, 200);
// A second model on which clashing readings can be named by hand: a dead board gives no reading.
const lamps = make.lotBought();
const lamp = make.unitReceived(lamps, 40);
assert.equal((await postEntries(server, [make.profileSaved(), lamps, lamp])).status, 200);

const browser = await launch();
test.after(() => browser.close());
const ada = await device(browser);
await named(ada.context, 'Ada');
const page = await ada.window();
const bench = new Bench(page);
const view = async (number) => (await get(server, `/units/${number}`)).json;
/** The newest entry of a unit as it stands in the journal. */
const newestEntry = async (number) => {
  const line = (await view(number)).diary.at(-1);
  const { json } = await get(server, `/entries?after=${line.sequence - 1}&limit=1`);
  return json.entries[0];
};

/** The first other check in the list that has a letter: its name, its letter, and its outcomes with their digits. */
async function firstOther() {
  const item = page.locator('.step-item', { has: page.locator('.quick .key') }).filter({ hasText: /check/ }).first();
  const chips = await item.locator('.chip').all();
  const label = await chips[0].locator('.said').textContent();
  return {
    name: label.slice(0, label.lastIndexOf(': ')), letter: await item.locator('.step-code').innerText(),
    outcomes: await Promise.all(chips.map(async (chip) => ({ key: await chip.locator('.key').innerText(), label: await chip.locator('.said').textContent() }))),
  };
}

test('a check of one’s own choosing takes as many keys from unit in hand as the advised one, and is kept with what was advised', async () => {
  await page.goto(`${server.url}/units/1`);
  await bench.idle();
  const advised = await bench.step();
  // The advised one: number, Enter, digit.
  const advisedRoad = ['1', 'Enter', '1'];
  await bench.recorded(advised, () => bench.keys(...advisedRoad));
  const next = (await view(1)).advice.next;
  const step = await bench.step();
  const other = await firstOther();
  assert.notEqual(other.name, step);
  // Another one: number, its letter, digit; from another screen.
  const otherRoad = ['1', other.letter, other.outcomes[0].key];
  assert.equal(otherRoad.length, advisedRoad.length);
  await page.goto(`${server.url}/now`);
  await page.locator('.now-row').first().waitFor();
  await bench.recorded(other.outcomes[0].label, () => bench.keys(...otherRoad));
  const entry = await newestEntry(1);
  assert.equal(entry.kind, 'finding');
  assert.deepEqual(entry.body.advised, next);
  assert.notEqual(entry.body.event.check, next.id);
  await page.locator('.diary li').first().getByText(`against the advice: “${step}”`).waitFor();
  await page.getByText('1 of 2 steps against the advice').waitFor();
  // The advice that was followed is not said again in the diary.
  assert.equal(await page.locator('.diary .against').count(), 1);
});

test('on the open unit a letter and a digit record sooner than the advised step’s held digit', async (context) => {
  await bench.open(6);
  await watchRecording(page);
  const other = await firstOther();
  await bench.recorded(other.outcomes[0].label, () => bench.keys(other.letter, other.outcomes[0].key));
  const own = await recordingMs(page);
  await watchRecording(page);
  await bench.recorded(await bench.step(), () => bench.keys('1'));
  const advised = await recordingMs(page);
  context.diagnostic(`digit to "Recorded": ${own.toFixed(0)} ms after a letter, ${advised.toFixed(0)} ms for the advised step`);
  assert.ok(own < advised, `${own} ms against ${advised} ms`);
});

test('a point before the letter or after it marks it as not sure; 0 is can’t tell', async () => {
  for (const keys of [(other) => ['.', other.letter, other.outcomes[1].key], (other) => [other.letter, '.', other.outcomes[1].key]]) {
    await bench.open(1);
    const other = await firstOther();
    const line = await bench.recorded(other.outcomes[1].label, () => bench.keys(...keys(other)));
    assert.match(line, /not sure/);
    assert.ok((await newestEntry(1)).body.event.sure < 1);
  }
  const other = await firstOther();
  await bench.recorded(`${other.name}: can’t tell`, () => bench.keys(other.letter, '0'));
  assert.equal((await newestEntry(1)).body.event.outcome, null);
});

test('on a keypad the number and + open the unit at the next best step: as many keys as with Enter', async () => {
  await bench.open(2);
  const { advice } = await view(2);
  const [second] = advice.steps.filter(({ kind, id }) => kind !== 'outlet' && id !== advice.next.id);
  const name = advice.names[`${second.kind}/${second.id}`];
  await page.goto(`${server.url}/now`);
  await page.locator('.now-row').first().waitFor();
  await bench.keys('2', '+');
  await page.waitForURL('**/units/2');
  await page.locator('.do-name', { hasText: name }).waitFor();
  await page.getByText('Chosen by you').waitFor();
  await bench.recorded(name, () => bench.keys('1'));
  assert.deepEqual((await newestEntry(2)).body.advised, advice.next);
});

test('on the unit that is shown, its number and + change the step too', async () => {
  await bench.open(3);
  const advised = await bench.step();
  await bench.keys('3', '+');
  await page.getByText('Chosen by you').waitFor();
  assert.notEqual(await bench.step(), advised);
  await bench.keys('Escape');
  await page.locator('.do.advised').waitFor();
});

test('by touch one tap records an outcome of another check', async () => {
  await bench.open(3);
  const chip = page.locator('.step-item .chip').first();
  const label = await chip.locator('.said').textContent();
  await bench.recorded(label, () => chip.click());
  assert.ok((await bench.newest()).startsWith(label.split(': ')[0]));
});

test('the advised step says what follows each outcome, and the outcome then leads there or says better', async (context) => {
  await bench.open(4);
  const { advice } = await view(4);
  const [step] = advice.steps;
  assert.ok(step.next.length > 1);
  const shown = await page.locator('.targets .then').allInnerTexts();
  assert.equal(shown.length, step.next.length);
  const likely = step.next[0];
  const outcomes = (await view(4)).checks.find(({ id }) => id === step.id).outcomes;
  await bench.recorded(await bench.step(), () => bench.keys(String(outcomes.findIndex(({ id }) => id === likely.outcome) + 1)));
  const { next } = (await view(4)).advice;
  context.diagnostic(`told: ${likely.kind}/${likely.id}, then advised: ${next.kind}/${next.id}`);
});

test('a unit that waits is not told to do something now', async () => {
  await bench.open(4);
  assert.equal(await page.locator('.do-kicker').innerText(), 'Do this next');
  const due = new Date(Date.now() + 3_600_000).toISOString();
  assert.equal((await postEntries(server, [make.about(units[3], 'wait-started', { what: 'charging', due })])).status, 200);
  await page.getByText('When the wait is over').waitFor();
  assert.equal(await page.locator('.do.advised').count(), 0);
  assert.equal((await postEntries(server, [make.about(units[3], 'wait-ended')])).status, 200);
  await page.locator('.do.advised').waitFor();
});

test('advice that changed with the profile’s prices names them, until something is found', async () => {
  await bench.open(5);
  const before = await bench.step();
  // Nothing is worth its minutes any more.
  const dear = plover.toml.replace(/rate_per_hour = [\d.]+/, 'rate_per_hour = 900.0');
  assert.notEqual(dear, plover.toml);
  assert.equal((await postEntries(server, [make.profileSaved(dear, plover.id)])).status, 200);
  await page.locator('.changed', { hasText: `Advised before: “${before}”` }).waitFor();
  assert.match(await page.locator('.changed').innerText(), /Changed since: prices or rates in the profile \(version 2\)/);
  assert.notEqual(await bench.step(), before);
  assert.equal((await postEntries(server, [make.profileSaved(plover.toml, plover.id)])).status, 200);
  await page.locator('.changed').waitFor({ state: 'detached' });
  assert.equal(await bench.step(), before);
});

const clash = page.getByRole('alert', { name: 'Readings that clash' });
const known = make.about(lamp, 'confirmed', { event: { confirmed: 'board-dead' } });

test('readings that clash are named, with how unlikely they are and what striking each would leave', async () => {
  assert.equal((await postEntries(server, [make.finding(lamp, 'charge-current', 'fast'), known])).status, 200);
  await bench.open(40);
  await clash.waitFor();
  const offers = await clash.locator('.target').allInnerTexts();
  assert.equal(offers.length, 3);
  assert.match(offers[0], /^1\s+Strike “Charger current at 5 V: fast”\s+without it most likely: Board dead, certain/);
  assert.match(offers[1], /^2\s+Strike “Confirmed: Board dead”\s+without it most likely: /);
  assert.match(offers[2], /^3\s+They are all true/);
  // P(board dead) is 1 - 0.8 (0.88 + 0.12 * 0.5) = 0.248; times 1e-4 / 1.0002.
  assert.match(await clash.innerText(), /come together about 1 in 40\s000/);
  await page.evaluate(axe);
  const violations = await page.evaluate((values) => globalThis.axe.run(document, { runOnly: { type: 'tag', values } })
    .then((found) => found.violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html.slice(0, 160)).join(' | ')}`)), kRules);
  assert.deepEqual(violations, []);
});

test('one key strikes one of them; put back, they clash again', async () => {
  await bench.recorded('strike “Confirmed: Board dead”', () => bench.keys('2'));
  await clash.waitFor({ state: 'detached' });
  await page.locator('.do-name').waitFor();
  await bench.recorded('put back', () => page.getByRole('button', { name: 'Put back: Confirmed: Board dead' }).click());
  await clash.waitFor();
});

test('one key goes on with small chances, which is kept, and undone by z', async () => {
  await bench.recorded('going on with small chances', () => bench.keys('3'));
  await clash.waitFor({ state: 'detached' });
  await page.locator('.do.advised').waitFor();
  await page.reload();
  await bench.idle();
  await page.getByText('Small chances where the profile says never').waitFor();
  assert.equal(await clash.count(), 0);
  assert.equal((await newestEntry(40)).kind, 'zeros-small');
  await bench.recorded('Undone: going on with small chances.', () => bench.keys('z'));
  await clash.waitFor();
});

test('what excludes itself is not offered to go on with', async () => {
  const not = make.about(lamp, 'ruled-out', { event: { ruled_out: 'board-dead' } });
  assert.equal((await postEntries(server, [make.about(lamp, 'struck', { entry: known.id }), not, make.about(lamp, 'confirmed', { event: { confirmed: 'board-dead' } })])).status, 200);
  await clash.getByText('Not even with small chances').waitFor();
  assert.equal(await clash.locator('.target[aria-disabled="true"]').count(), 1);
});

test('the pages complained of nothing', () => ada.assertQuiet());
