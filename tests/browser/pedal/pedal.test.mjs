// A foot pedal that sends keys, and what is said aloud: the eyes stay in the microscope.
import assert from 'node:assert/strict';
import test from 'node:test';

import { get, postEntries } from '../../api/support/client.mjs';
import * as make from '../../api/support/entries.mjs';
import { start, temporaryFolder } from '../../api/support/server.mjs';
import { Bench } from '../support/bench.mjs';
import { device, launch, named } from '../support/browser.mjs';

const server = await start(temporaryFolder({ after: (work) => test.after(work) }));
test.after(() => server.stop());
const plover = (await get(server, '/shipped-profiles')).json.profiles.find(({ id }) => id === 'plover-h1');
const lot = make.lotBought({ lines: [{ id: 'a', profile: plover.id, model: plover.name, declared: 9 }] });
const units = [1, 2].map((number) => make.unitReceived(lot, number));
assert.equal((await postEntries(server, [make.profileSaved(plover.toml, plover.id), lot, ...units])).status, 200);
const browser = await launch();
test.after(() => browser.close());
const ada = await device(browser);
await named(ada.context, 'Ada');
await ada.context.addInitScript(() => {
  window.spoken = [];
  window.SpeechSynthesisUtterance = class { constructor(text) { this.text = text; } };
  Object.defineProperty(window, 'speechSynthesis', { value: { cancel() {}, speak: ({ text }) => window.spoken.push(text) } });
});
const page = await ada.window();
const bench = new Bench(page);
const view = async (number) => (await get(server, `/units/${number}`)).json;
const newestEvent = async (number) => {
  const line = (await view(number)).diary.at(-1);
  return (await get(server, `/entries?after=${line.sequence - 1}&limit=1`)).json.entries[0].body.event;
};
const spoken = () => page.evaluate(() => window.spoken.splice(0));
const setKey = async (action, key) => {
  await page.getByRole('button', { name: `${action}: set a key` }).click();
  await page.keyboard.press(key);
};

test('keys are set under the person’s name; clashes are told and change nothing', async () => {
  await page.goto(`${server.url}/units/1`);
  await bench.idle();
  await page.getByRole('button', { name: 'Ada' }).click();
  await page.getByLabel('Say aloud what was recorded').check();
  const settings = page.getByRole('group', { name: 'Keys of a foot pedal or of your own' });
  await setKey('Accept what is marked or suggested', 'PageDown');
  await setKey('Mark the next outcome', 'F9');
  await setKey('Undo', 'PageDown');
  await settings.getByText('Not set: This key is already set for “Accept what is marked or suggested”.').waitFor();
  await page.keyboard.press('3');
  await settings.getByText('Not set: Digits choose outcomes and name units.').waitFor();
  await page.keyboard.press('z');
  await settings.getByText('Not set: This key undoes.').waitFor();
  await page.keyboard.press('PageUp');
  await setKey('Can’t tell', 'k');
  await settings.getByText('No step has this letter then.').waitFor();
  await page.getByRole('button', { name: 'Done', exact: true }).first().click();
  assert.ok(!(await page.locator('.step-code').allInnerTexts()).includes('k'));
  // Kept in this browser.
  await page.reload();
  await bench.idle();
  assert.deepEqual(await page.evaluate(() => JSON.parse(localStorage.getItem('lotwright.settings')).keys),
    { accept: 'PageDown', mark: 'F9', undo: 'PageUp', 'cannot-tell': 'k' });
});

test('by pedal alone: mark says each outcome, likeliest first; accept records the one that is marked', async () => {
  const { advice, checks, sequence } = await view(1);
  const check = checks.find(({ id }) => id === advice.next.id);
  const order = [...check.outcomes].sort((a, b) => b.probability - a.probability);
  await spoken();
  // With nothing marked, accept marks the likeliest and records nothing.
  await bench.keys('PageDown');
  assert.deepEqual(await spoken(), [order[0].name]);
  await page.locator('.target.marked', { hasText: order[0].name }).waitFor();
  assert.equal((await view(1)).sequence, sequence);
  await bench.keys('F9');
  assert.deepEqual(await spoken(), [order[1].name]);
  await bench.recorded(`${check.name}: ${order[1].name}`, () => bench.keys('PageDown'));
  assert.equal((await newestEvent(1)).outcome, order[1].id);
  await page.waitForFunction(() => window.spoken.length > 1);
  const [said, next] = await spoken();
  assert.equal(said, `Recorded: ${check.name}: ${order[1].name}.`);
  assert.equal(next, `Next: ${await bench.step()}.`);
});

test('undo and can’t tell by the keys that were set; a letter that was set stays a letter in a text field', async () => {
  const step = await bench.step();
  await bench.recorded('Undone', () => bench.keys('PageUp'));
  assert.notEqual(await bench.step(), step);
  await bench.recorded('can’t tell', () => bench.keys('k'));
  assert.equal((await newestEvent(1)).outcome, null);
  await bench.keys('n');
  await page.getByLabel('Text').fill('');
  await page.keyboard.press('k');
  assert.equal(await page.getByLabel('Text').inputValue(), 'k');
  await bench.keys('Escape');
});

test('accept does a repair as planned', async () => {
  await bench.open(2);
  await bench.choose('Fit a new battery');
  await bench.recorded('Fit a new battery', () => bench.keys('PageDown'));
  assert.equal((await newestEvent(2)).repair, 'swap-battery');
});

test('the pages complained of nothing', () => ada.assertQuiet());
