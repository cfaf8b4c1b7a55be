// Twenty units of a lot are received by keys and a scanner alone: numbered in one go, gone through one by one, one held aside,
// a shortage claimed, two of an unknown model named later. Counted in actions, not in seconds: a scan or a key each.
import assert from 'node:assert/strict';
import test from 'node:test';

import { get, postEntries } from '../../api/support/client.mjs';
import * as make from '../../api/support/entries.mjs';
import { start, temporaryFolder } from '../../api/support/server.mjs';
import { device, launch, named } from '../support/browser.mjs';
import { Receiver } from '../support/receiving.mjs';

// Two minutes for twenty units: a unit in six seconds, an action in four.
const kMostActions = 30;

const server = await start(temporaryFolder({ after: (work) => test.after(work) }));
test.after(() => server.stop());
const browser = await launch();
test.after(() => browser.close());
const ada = await device(browser);
await named(ada.context, 'Ada');
const page = await ada.window();
const hands = new Receiver(page);

const lot = make.lotBought({
  name: 'Pallet of lamps', claim_by: '2099-01-01',
  lines: [{ id: 'a', profile: 'bench-lamp', model: 'Bench lamp', revision: 'r1', declared: 20 }, { id: 'u', model: 'No label', declared: 3 }],
});
assert.equal((await postEntries(server, [make.profileSaved(), lot])).status, 200);
const received = async () => (await get(server, `/lots/${lot.id}`)).json.units;

test('an empty lot says what to do first', async () => {
  await page.goto(`${server.url}/lots/${lot.id}`);
  await page.getByText('Nothing received yet.').waitFor();
  await page.getByRole('button', { name: 'Receive units' }).waitFor();
});

test('twenty units are numbered and gone through within the actions that two minutes allow', async (context) => {
  await hands.press('r');
  await page.getByRole('button', { name: 'Receive units 1 to 20' }).waitFor();
  await hands.press('Enter');
  await hands.at(1);
  assert.equal((await received()).length, 20);
  for (let number = 1; number <= 20; number += 1) {
    await hands.at(number);
    if (number === 3) await hands.press('1', '3');
    if (number === 7) {
      await hands.press('h');
      await page.getByLabel('Reference').waitFor();
      await hands.type('request 22');
      await hands.press('Enter');
      await page.locator('.notice', { hasText: 'held aside' }).or(page.locator('.rung', { hasText: 'held aside' })).first().waitFor();
      await page.evaluate(() => document.activeElement?.blur());
    }
    await hands.scan(`LMP-${1000 + number}`);
  }
  await page.getByText('That was the last one').waitFor();
  context.diagnostic(`20 units in ${hands.actions} actions`);
  assert.ok(hands.actions <= kMostActions, `${hands.actions} actions`);
  const units = await received();
  assert.deepEqual(units.map(({ serial }) => serial), Array.from({ length: 20 }, (_, index) => `LMP-${1001 + index}`));
  assert.equal(units[2].condition, 'scratched, glass broken');
  assert.equal(units[6].state.id, 'held-aside');
  const { json: held } = await get(server, '/units/7');
  assert.equal(held.unit.held.reason, 'account-locked');
  assert.equal(held.unit.held.reference, 'request 22');
  assert.match(held.unit.held.date, /^\d{4}-\d{2}-\d{2}$/);
});

test('a serial that another unit bears is not taken at the first scan', async () => {
  await page.keyboard.press('r');
  await page.getByLabel('Line of the manifest').selectOption({ index: 1 });
  await page.getByLabel('How many').fill('2');
  await page.getByRole('button', { name: 'Receive units 21 to 22' }).waitFor();
  await page.keyboard.press('Enter');
  await hands.at(21);
  await page.evaluate(() => document.activeElement?.blur());
  await hands.scan('LMP-1004');
  await page.locator('.notice', { hasText: 'the serial of unit 4 already' }).waitFor();
  assert.equal(await hands.here(), 21);
  await hands.scan('X-9');
  await hands.at(22);
  await hands.press('Backspace');
  await hands.at(21);
  await page.locator('.receive-serial', { hasText: 'X-9' }).waitFor();
  await hands.press('Escape');
  await page.locator('.receive').waitFor({ state: 'detached' });
});

test('what did not come is claimed, and the claim stands in the manifest', async () => {
  const row = page.locator('.line-row', { hasText: 'No label' });
  await row.getByText('1 to claim by 2099-01-01.').waitFor();
  await row.getByRole('button', { name: 'Claim what is missing' }).click();
  await page.getByLabel('Reference').fill('mail 4');
  await page.keyboard.press('Enter');
  await row.getByText(/1 claimed, last on .*, mail 4\./).waitFor();
  await page.getByText('Claimed from the seller').waitFor();
});

test('units of an unknown model are named once it is known, and have advice then', async () => {
  const row = page.locator('.line-row', { hasText: 'No label' });
  await row.getByText('2 units of models not known yet').waitFor();
  await row.getByRole('button', { name: 'Say which model it is' }).click();
  await row.getByLabel('Revision').fill('r2');
  await row.getByRole('button', { name: 'That is what it is' }).click();
  await row.getByText('not known yet').waitFor({ state: 'detached' });
  const { json: unit } = await get(server, '/units/22');
  assert.equal(unit.unit.profile, 'bench-lamp');
  assert.equal(unit.unit.revision, 'r2');
  assert.notEqual(unit.advice, null);
});

test('the page complained of nothing', () => ada.assertQuiet());
