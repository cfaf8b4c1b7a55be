// The whole road of a unit by a plain numeric keypad: no letter, no pointer. Presses are counted, not seconds.
import assert from 'node:assert/strict';
import test from 'node:test';

import { get, postEntries } from '../../api/support/client.mjs';
import * as make from '../../api/support/entries.mjs';
import { start, temporaryFolder } from '../../api/support/server.mjs';
import { Bench } from '../support/bench.mjs';
import { device, launch, named } from '../support/browser.mjs';
import { keypad } from '../support/keypad.mjs';

const server = await start(temporaryFolder({ after: (work) => test.after(work) }));
test.after(() => server.stop());
const plover = (await get(server, '/shipped-profiles')).json.profiles.find(({ id }) => id === 'plover-h1');
const lot = make.lotBought({ lines: [{ id: 'a', profile: plover.id, model: plover.name, declared: 9 }] });
const units = [7, 8, 12, 14, 15].map((number) => make.unitReceived(lot, number));
assert.equal((await postEntries(server, [make.profileSaved(plover.toml, plover.id), lot, ...units])).status, 200);

const browser = await launch();
test.after(() => browser.close());
const ada = await device(browser);
await named(ada.context, 'Ada');
const page = await ada.window();
const bench = new Bench(page);
await page.goto(`${server.url}/now`);
await page.locator('.now-row').first().waitFor();
const pad = await keypad(page);
const view = async (number) => (await get(server, `/units/${number}`)).json;
const newestEntry = async (number) => {
  const line = (await view(number)).diary.at(-1);
  return (await get(server, `/entries?after=${line.sequence - 1}&limit=1`)).json.entries[0];
};
const recorded = (words, signs) => bench.recorded(words, () => pad.press(signs));
/** Presses a digit of the Record panel's after `*`; `name` says which. */
async function record(name) {
  await pad.press('*');
  const button = page.getByLabel('Record', { exact: true }).getByRole('button', { name, exact: true });
  for (let page = 0; page < 4 && await button.locator('.key', { hasText: /^\d$/ }).count() === 0; ++page) await pad.press('*');
  await pad.press(await button.locator('.key').innerText());
}

test('from unit in hand to finding: two actions, four keys, from any screen', async () => {
  const { advice } = await view(14);
  const before = pad.count;
  await recorded('Recorded', '14⏎3');
  assert.equal(pad.count - before, 4);
  const entry = await newestEntry(14);
  assert.equal(entry.body.event.check, advice.next.id);
  assert.deepEqual(entry.body.advised, advice.next);
});

test('the next best step of another unit: as many', async () => {
  const { advice } = await view(15);
  const [second] = advice.steps.filter(({ kind, id }) => kind !== 'outlet' && id !== advice.next.id);
  const before = pad.count;
  await recorded('Recorded', '15+1');
  assert.equal(pad.count - before, 4);
  assert.equal((await newestEntry(15)).body.event[second.kind], second.id);
});

test('not sure, can’t tell, undo', async () => {
  await pad.press('7⏎');
  await page.waitForURL('**/units/7');
  await bench.idle();
  assert.match(await recorded(await bench.step(), '.1'), /not sure/);
  assert.ok((await newestEntry(7)).body.event.sure < 1);
  const step = await bench.step();
  assert.match(await recorded(step, '0'), /can’t tell/);
  assert.notEqual(await bench.step(), step);
  await recorded('Undone', '/');
  assert.equal((await view(7)).diary.at(-1).kind, 'struck');
  assert.equal(await bench.step(), step);
});

test('14 Enter records nothing on the unit that is shown', async () => {
  const { sequence } = await view(7);
  await pad.press('14⏎');
  await page.waitForURL('**/units/14');
  await bench.idle();
  await page.waitForTimeout(1500);
  assert.equal((await get(server, '/status')).json.sequence, sequence);
});

test('a reading is typed as it stands on the meter, its minutes before it', async () => {
  await pad.press('8⏎');
  await page.waitForURL('**/units/8');
  await bench.idle();
  const { checks } = await view(8);
  const ohms = checks.find(({ id }) => id === 'rail-ohms');
  await goTo(ohms.name);
  await pad.press('3.5/');
  await page.waitForFunction(() => document.querySelector('.minutes-field input')?.value === '3.5');
  await recorded(ohms.name, '0.412⏎');
  const { event, minutes } = (await newestEntry(8)).body;
  assert.deepEqual([event.check, event.reading, event.unit, minutes], ['rail-ohms', 0.412, 'ohm', 3.5]);
  const low = ohms.numbers.find(({ min, max }) => (min ?? -Infinity) <= 0.412 && 0.412 < (max ?? Infinity));
  assert.equal(event.outcome, low.outcome);
});

test('a number on a step without limits is said to be none, and is not recorded', async () => {
  const { sequence } = (await get(server, '/status')).json;
  await goTo((await view(8)).checks.find(({ id }) => id === 'case-look').name);
  await pad.press('0.7⏎');
  await page.locator('.notice', { hasText: '0.7 was not recorded' }).waitFor();
  assert.equal((await get(server, '/status')).json.sequence, sequence);
});

/** + through the list until a step is shown. */
async function goTo(name) {
  for (let steps = 0; steps < 70 && await bench.step() !== name; ++steps) await pad.press('+');
  assert.equal(await bench.step(), name);
}

test('a repair is done, with Enter or 1', async () => {
  await pad.press('12⏎');
  await page.waitForURL('**/units/12');
  await bench.idle();
  const { repairs } = await view(12);
  const [battery, port] = ['swap-battery', 'clean-port'].map((id) => repairs.find((repair) => repair.id === id).name);
  await goTo(battery);
  await recorded(battery, '⏎');
  await goTo(port);
  await recorded(port, '1');
});

test('mended, tested item by item, graded, sold', async () => {
  await record('Mended');
  await bench.recorded('mended', () => pad.press('⏎'));
  assert.equal(await bench.state(), 'mended');
  await record('Full test');
  const sheet = page.getByLabel('Full function test', { exact: true });
  await sheet.waitFor();
  const { tests } = await view(12);
  for (const item of tests) {
    await sheet.locator('.test-name', { hasText: item.name }).waitFor();
    const value = item.min !== null ? item.min * 1.05 + 0.01 : item.max !== null ? item.max * 0.9 : null;
    await bench.recorded(item.name, async () => {
      if (value === null) return pad.press('1');
      // The field has the keys once the sheet is under way; the first value is typed without it too.
      await pad.press(`${value.toFixed(2)}⏎`);
    });
  }
  assert.equal(await bench.state(), 'proved');
  // The last value's field may still have the keys: a star leaves a number's field.
  await pad.press('*');
  await page.evaluate(() => new Promise(requestAnimationFrame));
  await record('Grade');
  await bench.recorded('grade', () => pad.press('⏎'));
  await record('Sold');
  await page.waitForFunction(() => document.activeElement?.tagName === 'INPUT');
  await bench.recorded('sold working', () => pad.press('88.50⏎'));
  assert.equal(await bench.state(), 'sold');
  assert.deepEqual((await view(12)).money.income, make.usd(8850));
});

test('the pages complained of nothing', () => ada.assertQuiet());
